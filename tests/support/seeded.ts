/** Random numbers that a seed gives again: mulberry32, by Tommy Ettinger (public domain). */
export type Random = () => number;

export function seeded(seed: number): Random {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** A whole number from `least` to `most`. */
export function between(random: Random, least: number, most: number): number {
  return least + Math.floor(random() * (most - least + 1));
}
