/** Days as `YYYY-MM-DD`, in UTC, so that every reader counts the same ones. */
const DAY_MS = 86_400_000;

export const dayOf = (ms: number): string => new Date(ms).toISOString().slice(0, 10);

export function isDay(text: string): boolean {
  const ms = /^\d{4}-\d\d-\d\d$/.test(text) ? Date.parse(`${text}T00:00:00Z`) : NaN;
  return !Number.isNaN(ms) && dayOf(ms) === text;
}

/** Whole days from today until that day; negative once it has passed. */
export const daysUntil = (day: string, now: number): number =>
  Math.round((Date.parse(`${day}T00:00:00Z`) - Date.parse(`${dayOf(now)}T00:00:00Z`)) / DAY_MS);

/** The same day a year later; the last day of February for one that the year lacks. */
export function yearAfter(day: string): string {
  const [year = '', month = '', date = ''] = day.split('-');
  const next = `${Number(year) + 1}-${month}-${date}`;
  return isDay(next) ? next : `${Number(year) + 1}-02-28`;
}
