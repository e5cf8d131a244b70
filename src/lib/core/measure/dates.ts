/** Calendar days as YYYY-MM-DD (ISO 8601), compared as text and counted in days; no clock, no zones. */

const form = /^(\d{4})-(\d{2})-(\d{2})$/u;
const monthLengths = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

interface Day {
  year: number;
  month: number;
  day: number;
}

export function isDate(text: string): boolean {
  return readDay(text) !== null;
}

/** The same day `months` later, or the last day of that month when it has no such day. */
export function addMonths(text: string, months: number): string | null {
  const from = readDay(text);
  if (from === null) return null;
  const count = from.year * 12 + from.month - 1 + months;
  const year = Math.floor(count / 12);
  const month = (count % 12) + 1;
  const day = Math.min(from.day, monthLength(year, month));
  return [String(year).padStart(4, '0'), twoDigits(month), twoDigits(day)].join('-');
}

/** The day `days` later. */
export function addDays(text: string, days: number): string | null {
  const from = readDay(text);
  if (from === null) return null;
  let { year, month, day } = from;
  day += days;
  while (day > monthLength(year, month)) {
    day -= monthLength(year, month);
    month += 1;
    if (month > 12) {
      month = 1;
      year += 1;
    }
  }
  return [String(year).padStart(4, '0'), twoDigits(month), twoDigits(day)].join('-');
}

function readDay(text: string): Day | null {
  const parts = typeof text === 'string' ? form.exec(text) : null;
  if (parts === null) return null;
  const [year, month, day] = [Number(parts[1]), Number(parts[2]), Number(parts[3])];
  if (month < 1 || month > 12 || day < 1 || day > monthLength(year, month)) return null;
  return { year, month, day };
}

function monthLength(year: number, month: number): number {
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  return month === 2 && leap ? 29 : (monthLengths[month - 1] ?? 0);
}

function twoDigits(value: number): string {
  return String(value).padStart(2, '0');
}
