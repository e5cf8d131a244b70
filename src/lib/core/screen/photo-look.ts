/** How a photo looks, in 64 bits, so that the same picture saved again is recognized. */

/** Bits that two photos may differ in and still deserve to be laid side by side. */
export const NEAR_BITS = 5;

const [WIDE, HIGH] = [9, 8];

/**
 * Difference hash: the picture shrunk to nine by eight, one bit for every cell brighter than the one to
 * its right.
 * @param luma brightness row by row, at least nine wide and eight high
 * @returns 16 hex digits; null when it is too small, or so plain that nothing tells it from another
 */
export function lookOf(luma: ArrayLike<number>, width: number, height: number): string | null {
  if (width < WIDE || height < HIGH || luma.length < width * height) return null;
  const small = Array.from({ length: WIDE * HIGH }, (_, at) =>
    meanOver(luma, width, height, at % WIDE, Math.floor(at / WIDE)),
  );
  if (Math.max(...small) - Math.min(...small) < 8) return null;
  let bits = 0n;
  for (let y = 0; y < HIGH; y += 1)
    for (let x = 0; x + 1 < WIDE; x += 1) {
      const at = y * WIDE + x;
      bits = (bits << 1n) | ((small[at] ?? 0) > (small[at + 1] ?? 0) ? 1n : 0n);
    }
  return bits.toString(16).padStart(16, '0');
}

function meanOver(
  luma: ArrayLike<number>,
  width: number,
  height: number,
  x: number,
  y: number,
): number {
  const [left, right] = [Math.floor((x * width) / WIDE), Math.floor(((x + 1) * width) / WIDE)];
  const [top, foot] = [Math.floor((y * height) / HIGH), Math.floor(((y + 1) * height) / HIGH)];
  let sum = 0;
  for (let row = top; row < foot; row += 1)
    for (let column = left; column < right; column += 1) sum += luma[row * width + column] ?? 0;
  return sum / ((right - left) * (foot - top));
}

/** Bits in which two looks differ, 0 to 64. */
export function bitsApart(one: string, other: string): number {
  let different = BigInt(`0x${one}`) ^ BigInt(`0x${other}`);
  let bits = 0;
  for (; different > 0n; different &= different - 1n) bits += 1;
  return bits;
}
