/** What of a job goes out in a bag, as a person chooses it. */

/** A rectangle in thousandths of a photo's width and height. */
export interface Region {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** A photo to leave out, or, with regions, to show with those made unreadable. */
export interface PhotoChoice {
  readonly sha256: string;
  readonly regions: readonly Region[];
}

export interface BagChoice {
  /** Names of private values to leave out. */
  readonly withhold: readonly string[];
  readonly photos: readonly PhotoChoice[];
}

/** A private value that is still kept here; one name may stand with several entries. */
export interface PrivateValue {
  readonly digest: string;
  readonly name: string;
  readonly value: string;
}

/** Private values by name, in the order in which the names first came. */
export function byName(values: readonly PrivateValue[]): readonly (readonly PrivateValue[])[] {
  const names = [...new Set(values.map(({ name }) => name))];
  return names.map((name) => values.filter((each) => each.name === name));
}

const inside = (value: number, most: number): number =>
  Math.max(0, Math.min(most, Math.round(value)));
/** Smaller than this is a slip of the finger, in thousandths. */
export const LEAST = 15;

/** The rectangle between two corners, within the photo. */
export function between(
  one: { readonly x: number; readonly y: number },
  other: { readonly x: number; readonly y: number },
): Region {
  const [left, right] = [Math.min(one.x, other.x), Math.max(one.x, other.x)];
  const [top, bottom] = [Math.min(one.y, other.y), Math.max(one.y, other.y)];
  const [x, y] = [inside(left, 1000), inside(top, 1000)];
  return { x, y, width: inside(right, 1000) - x, height: inside(bottom, 1000) - y };
}

const STEP = 20;
const WAYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-STEP, 0],
  ArrowRight: [STEP, 0],
  ArrowUp: [0, -STEP],
  ArrowDown: [0, STEP],
};

/** The region after an arrow key: moved, or with the shift key made larger or smaller; null for other keys. */
export function nudged(region: Region, key: string, sizing: boolean): Region | null {
  const way = WAYS[key];
  if (way === undefined) return null;
  const [across, down] = way;
  if (!sizing) {
    const x = inside(region.x + across, 1000 - region.width);
    return { ...region, x, y: inside(region.y + down, 1000 - region.height) };
  }
  const width = Math.max(LEAST, inside(region.width + across, 1000 - region.x));
  return {
    ...region,
    width,
    height: Math.max(LEAST, inside(region.height + down, 1000 - region.y)),
  };
}
