/**
 * The job's running time: milliseconds since it was opened, added up over the runs of the device's
 * running clock. Over a restart the wall clock fills the gap, and a caller that needs to trust it asks
 * `gapOf` first: only a short forward gap is known well enough to go on counting.
 */
import type { Stamp } from './events.ts';
import { KNOWN_GAP_MS } from './plan.ts';
import type { JobState } from './state.ts';

type Clock = JobState['clock'];

interface Instant {
  readonly at: string;
  readonly ms: number;
}
/** The two instants read last: while a command is decided the same two are asked about many times. */
let newer: Instant = { at: '', ms: NaN };
let older: Instant = newer;
/** The day read last: a job seldom has more than one, and the clock on it is read by its digits. */
let today: Instant = newer;

function msOf(at: string): number {
  if (at === newer.at) return newer.ms;
  if (at === older.at) return older.ms;
  older = newer;
  newer = { at, ms: read(at) };
  return newer.ms;
}

/** As `Date.parse`, and by it for every text that is not of the form `2026-11-25T10:42:07.250Z`. */
function read(at: string): number {
  if (at.length !== 24 || at[10] !== 'T' || at[13] !== ':' || at[16] !== ':' || at[19] !== '.')
    return Date.parse(at);
  const hours = digits(at, 11, 2);
  const minutes = digits(at, 14, 2);
  const seconds = digits(at, 17, 2);
  const rest = digits(at, 20, 3);
  if (at[23] !== 'Z' || !(hours < 24 && minutes < 60 && seconds < 60 && rest < 1000))
    return Date.parse(at);
  if (!at.startsWith(today.at) || today.at === '') {
    const day = at.slice(0, 10);
    today = { at: day, ms: Date.parse(`${day}T00:00:00.000Z`) };
  }
  return today.ms + ((hours * 60 + minutes) * 60 + seconds) * 1000 + rest;
}

/** The number that stands there, NaN when it is none. */
function digits(text: string, from: number, count: number): number {
  let value = 0;
  for (let at = from; at < from + count; at += 1) {
    const digit = text.charCodeAt(at) - 48;
    if (digit < 0 || digit > 9) return NaN;
    value = value * 10 + digit;
  }
  return value;
}

/** Wall milliseconds between the last stamp and this one; NaN when either cannot be read. */
function wallGap(clock: Clock, stamp: Stamp): number {
  return msOf(stamp.at) - msOf(clock.at);
}

export interface Gap {
  readonly restarted: boolean;
  /** Milliseconds to add to the running time. */
  readonly ms: number;
  /** False when the running clock began anew and the wall clock cannot bridge it. */
  readonly known: boolean;
  /** How far the wall clock ran ahead of (or, negative, fell behind) the running clock, in ms. */
  readonly wallDrift: number;
}

const STILL: Gap = { restarted: false, ms: 0, known: true, wallDrift: 0 };

export function gapOf(clock: Clock, stamp: Stamp): Gap {
  if (clock.boot === '') return STILL;
  if (clock.boot === stamp.boot && clock.mono === stamp.mono && clock.at === stamp.at) return STILL;
  const wall = wallGap(clock, stamp);
  if (clock.boot === stamp.boot) {
    const ms = Math.max(0, stamp.mono - clock.mono);
    return { restarted: false, ms, known: true, wallDrift: Number.isNaN(wall) ? 0 : wall - ms };
  }
  const known = wall >= 0 && wall <= KNOWN_GAP_MS;
  return { restarted: true, ms: wall > 0 ? wall : 0, known, wallDrift: 0 };
}

/** The milliseconds of `gapOf` alone; within one run the wall clock is not even read for them. */
export function elapsed(clock: Clock, stamp: Stamp): number {
  if (clock.boot === '' || clock.boot !== stamp.boot) return gapOf(clock, stamp).ms;
  return Math.max(0, stamp.mono - clock.mono);
}

/** The clock after a stamp. */
export function advance(clock: Clock, stamp: Stamp): Clock {
  if (clock.boot === stamp.boot && clock.mono === stamp.mono && clock.at === stamp.at) return clock;
  const ms = elapsed(clock, stamp);
  return { at: stamp.at, mono: stamp.mono, boot: stamp.boot, ran: clock.ran + ms };
}
