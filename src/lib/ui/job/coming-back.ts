/** A job that was left alone, and what a person says about that time in one touch. */
import type { Order } from '#lib/core/job/commands.ts';

/** How long nobody was there, and whether the running clock was lost over it. */
export interface Away {
  /** Milliseconds since the last entry, or since the screen went dark. */
  readonly ms: number;
  /** The program began anew in between: no clock of this device ran through. */
  readonly restarted: boolean;
}

const MINUTE = 60_000;
/** A look at another program is no interruption; over a restart the engine bridges as much. */
export const ASK_AFTER_MS = 2 * MINUTE;
/** From here on it counts as a long absence: briefing and heat are stale too. */
export const LONG_MINUTES = 31;

/**
 * Whether somebody has to be asked, on opening a job again.
 * @param lastAt wall time of the last entry, RFC 3339
 * @param now wall milliseconds
 */
export function awaySince(lastAt: string, now: number, restarted: boolean): Away | undefined {
  const ms = now - Date.parse(lastAt);
  // A wall clock that was set back tells nothing of the time between; a restart then always asks.
  if (Number.isNaN(ms) || ms < 0) return restarted ? { ms: 0, restarted } : undefined;
  return ms > ASK_AFTER_MS ? { ms, restarted } : undefined;
}

/** Whole minutes, rounded up: an absence never counts as shorter than it was. */
export function minutesOf({ ms }: Away): number {
  return Math.max(1, Math.ceil(ms / MINUTE));
}

/** “I was away”: with the minutes, from which the engine knows whether it was a long absence. */
export function wasAway(away: Away): Order {
  return { command: 'lapse', what: 'leftSight', minutes: minutesOf(away) };
}

/** For the record, in its own language. */
export const NOTES = {
  stillHere: (minutes: number) =>
    `after ${minutes} min without an entry the person said: at the machine all the time, hands off it`,
  unanswered: (minutes: number) =>
    `after ${minutes} min without an entry nobody said what happened in between`,
  outage: 'said with what follows: the power supply failed, or came back',
} as const;
