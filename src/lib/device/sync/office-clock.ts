/** The wall clock of this device held against the clock of the office, over the time that asking took. */

export interface OfficeClock {
  /** Milliseconds that this device is ahead of the office; below 0 it is behind. */
  readonly ahead: number;
  /** How far off that may be: half of the time that question and answer took, ms. */
  readonly within: number;
}

/** A question that took longer than this says too little. House default. */
const LONGEST_MS = 20_000;

/** Both clocks of this device at one instant: wall in ms since 1970, running in ms since any start. */
export interface Ticks {
  readonly wall: number;
  readonly ran: number;
}

export const ticksNow = (): Ticks => ({ wall: Date.now(), ran: performance.now() });

/**
 * What the answer tells; null when it took too long, or the wall clock was set in between.
 * @param office ms since 1970 by the office, read between `asked` and `heard`
 */
export function officeClock(office: number, asked: Ticks, heard: Ticks): OfficeClock | null {
  const took = heard.ran - asked.ran;
  if (!(took >= 0 && took <= LONGEST_MS)) return null;
  if (Math.abs(heard.wall - asked.wall - took) > 1000) return null;
  return { ahead: Math.round(asked.wall + took / 2 - office), within: Math.ceil(took / 2) };
}
