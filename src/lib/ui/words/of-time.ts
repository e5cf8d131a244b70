/** Times as people say them, in the reader's language; the record keeps them exactly. */
import * as m from '../paraglide/messages.js';
import { getLocale } from '../paraglide/runtime.js';

const MINUTE = 60_000;

/** How long, rounded down, so that a proof never looks longer than it is: `24 min`, `40 s`. */
export function duration(ms: number): string {
  if (ms < MINUTE) return m.time_seconds({ seconds: Math.max(0, Math.floor(ms / 1000)) });
  const minutes = Math.floor(ms / MINUTE);
  if (minutes < 120) return m.time_minutes({ minutes });
  return m.time_hours({ hours: Math.floor(minutes / 60), minutes: minutes % 60 });
}

/** A countdown, rounded up, so that a wait never looks over before it is: `2:40`. */
export function clock(ms: number): string {
  const seconds = Math.max(0, Math.ceil(ms / 1000));
  const minutes = Math.floor(seconds / 60);
  return `${minutes}:${String(seconds % 60).padStart(2, '0')}`;
}

/**
 * The hour and minute that a recorded instant shows on the wall where it was recorded.
 * @param at RFC 3339 with offset
 */
export function timeOfDay(at: string): string {
  return /T(\d\d:\d\d)/u.exec(at)?.[1] ?? at;
}

const DAY = { dateStyle: 'medium', timeZone: 'UTC' } as const;
/** By language and form: making one takes longer than drawing the line that it is for. */
const formats = new Map<string, Intl.DateTimeFormat>();

/** Of times in the reader's language. */
export function formatOf(options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const name = `${getLocale()} ${JSON.stringify(options)}`;
  const format = formats.get(name) ?? new Intl.DateTimeFormat(getLocale(), options);
  formats.set(name, format);
  return format;
}

/** A day of the calendar, whatever the reader's zone. */
export const dayOf = (time: Date | number): string => formatOf(DAY).format(time);

/** Day and hour of a recorded instant, in the reader's language, at the place where it was recorded. */
export function dayAndTime(at: string): string {
  const local = new Date(at.replace(/(Z|[+-]\d\d:\d\d)$/u, 'Z'));
  if (Number.isNaN(local.getTime())) return at;
  return `${dayOf(local)}, ${timeOfDay(at)}`;
}
