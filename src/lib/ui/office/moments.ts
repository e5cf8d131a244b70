/** Times as the office reads them: in the reader's language and zone, with the year. */
import * as m from '../paraglide/messages.js';
import { dayOf, duration, formatOf } from '../words/of-time.ts';

const DAY = 86_400_000;

const MOMENT = { dateStyle: 'medium', timeStyle: 'short' } as const;

/** Day and hour; empty for no time. */
export function momentSays(ms: number | null): string {
  return ms === null || ms <= 0 ? '' : formatOf(MOMENT).format(ms);
}

/** A day as it is kept, `YYYY-MM-DD`. */
export function daySays(day: string | null): string {
  const ms = Date.parse(`${day ?? ''}T00:00:00Z`);
  if (Number.isNaN(ms)) return day ?? '';
  return dayOf(ms);
}

/** How long ago or how long: days from two days on. */
export function ageSays(ms: number): string {
  return ms >= 2 * DAY ? m.office_age_days({ days: Math.floor(ms / DAY) }) : duration(ms);
}

/** Whole days until something is due, in words. */
export function dueSays(left: number | null): string {
  if (left === null) return m.office_due_never();
  if (left < 0) return m.office_due_past({ days: -left });
  return left === 0 ? m.office_due_today() : m.office_due_in({ days: left });
}
