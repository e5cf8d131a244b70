/** RFC 3339 times as the record holds them, without any clock: text in, milliseconds out. */

const FORM =
  /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(?:\.(\d{1,9}))?(?:(Z)|([+-])(\d\d):(\d\d))$/;

export interface Instant {
  /** Milliseconds since 1970 in UTC; finer digits are cut. */
  readonly ms: number;
  /** Minutes that local time is ahead of UTC. */
  readonly offset: number;
}

/**
 * The instant a text names, or `null`: the date must exist, the hour be below 24, the offset below 24
 * hours, and the letters upper case. Second 60 is refused: no device clock shows it.
 */
export function instantOf(text: string): Instant | null {
  const found = FORM.exec(text);
  if (found === null) return null;
  const part = (at: number): number => Number(found[at] ?? '0');
  const [year, month, day] = [part(1), part(2), part(3)];
  if (month < 1 || month > 12 || day < 1 || day > daysIn(year, month)) return null;
  if (part(4) > 23 || part(5) > 59 || part(6) > 59 || part(10) > 23 || part(11) > 59) return null;
  const offset = (found[9] === '-' ? -1 : 1) * (part(10) * 60 + part(11));
  const fraction = Number((found[7] ?? '').padEnd(3, '0').slice(0, 3));
  const minutes = (daysSince1970(year, month, day) * 24 + part(4)) * 60 + part(5) - offset;
  return { ms: (minutes * 60 + part(6)) * 1000 + fraction, offset: offset === 0 ? 0 : offset };
}

function isLeap(year: number): boolean {
  return (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
}

function daysIn(year: number, month: number): number {
  if (month === 2) return isLeap(year) ? 29 : 28;
  return [4, 6, 9, 11].includes(month) ? 30 : 31;
}

/** Days of the proleptic Gregorian calendar, years counted from March so that leap days come last. */
function daysSince1970(year: number, month: number, day: number): number {
  const shifted = month > 2 ? year : year - 1;
  const fromMarch = (month + 9) % 12;
  const ofYear = Math.floor((153 * fromMarch + 2) / 5) + day - 1;
  const leaps = Math.floor(shifted / 4) - Math.floor(shifted / 100) + Math.floor(shifted / 400);
  return shifted * 365 + leaps + ofYear - 719468;
}
