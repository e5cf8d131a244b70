/**
 * How sharp a picture is: the variance of its Laplacian (Pech-Pacheco and others, "Diatom autofocusing
 * in brightfield microscopy", ICPR 2000). A blurred picture has few edges and a small variance.
 */

/** Long side of the grey picture that is measured, in pixels: figures of one size compare. */
export const MEASURED_SIDE = 512;

/** Below this a photo is probably blurred or blank: a question to the person, never a refusal. House default. */
export const BLURRED_BELOW = 60;

/**
 * Variance of the four-neighbour Laplacian, rounded to a whole number; 0 for anything under 3 by 3.
 * @param grey one byte of brightness a pixel, row by row
 */
export function sharpnessOf(grey: Uint8Array, width: number, height: number): number {
  if (width < 3 || height < 3) return 0;
  let sum = 0;
  let squares = 0;
  for (let y = 1; y < height - 1; y += 1) {
    for (let x = 1; x < width - 1; x += 1) {
      const at = y * width + x;
      const edge =
        (grey[at - width] ?? 0) +
        (grey[at + width] ?? 0) +
        (grey[at - 1] ?? 0) +
        (grey[at + 1] ?? 0) -
        4 * (grey[at] ?? 0);
      sum += edge;
      squares += edge * edge;
    }
  }
  const count = (width - 2) * (height - 2);
  return Math.round(squares / count - (sum / count) ** 2);
}

/** Brightness of RGBA pixels (ITU-R BT.601 luma), a byte each. */
export function greyOf(rgba: Uint8ClampedArray): Uint8Array {
  const grey = new Uint8Array(rgba.length / 4);
  for (let at = 0; at < grey.length; at += 1) {
    const from = at * 4;
    grey[at] =
      0.299 * (rgba[from] ?? 0) + 0.587 * (rgba[from + 1] ?? 0) + 0.114 * (rgba[from + 2] ?? 0);
  }
  return grey;
}
