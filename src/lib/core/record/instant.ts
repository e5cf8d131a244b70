/** RFC 3339 times as the record holds them, without any clock: text in, milliseconds out. */

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
  const [year, month, day] = [digits(text, 0, 4), digits(text, 5, 2), digits(text, 8, 2)];
  const [hour, minute, second] = [digits(text, 11, 2), digits(text, 14, 2), digits(text, 17, 2)];
  if (year < 0 || month < 1 || month > 12 || day < 1 || day > daysIn(year, month)) return null;
  if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59) return null;
  if (text[4] !== '-' || text[7] !== '-' || text[10] !== 'T') return null;
  if (text[13] !== ':' || text[16] !== ':') return null;
  const zone = text[19] === '.' ? fractionEnd(text) : 19;
  const offset = zone < 0 ? null : offsetOf(text, zone);
  if (offset === null) return null;
  const fraction = zone === 19 ? 0 : Number(text.slice(20, Math.min(zone, 23)).padEnd(3, '0'));
  const minutes = (daysSince1970(year, month, day) * 24 + hour) * 60 + minute - offset;
  return { ms: (minutes * 60 + second) * 1000 + fraction, offset };
}

/** The number that `count` digits from `from` on write; -1 when one of them is no digit. */
function digits(text: string, from: number, count: number): number {
  let value = 0;
  for (let at = from; at < from + count; at += 1) {
    const digit = text.charCodeAt(at) - 0x30;
    if (!(digit >= 0 && digit <= 9)) return -1;
    value = value * 10 + digit;
  }
  return value;
}

/** Where the 1 to 9 digits after the point end; -1 when there are fewer or more. */
function fractionEnd(text: string): number {
  let at = 20;
  while (digits(text, at, 1) >= 0) at += 1;
  return at > 20 && at <= 29 ? at : -1;
}

/** Minutes of `Z`, `+05:30` or `-05:00`, which must end the text; null when it is something else. */
function offsetOf(text: string, from: number): number | null {
  const sign = text[from];
  if (sign === 'Z') return text.length === from + 1 ? 0 : null;
  if ((sign !== '+' && sign !== '-') || text[from + 3] !== ':' || text.length !== from + 6)
    return null;
  const [hours, minutes] = [digits(text, from + 1, 2), digits(text, from + 4, 2)];
  if (hours < 0 || hours > 23 || minutes < 0 || minutes > 59) return null;
  const offset = hours * 60 + minutes;
  return sign === '-' && offset !== 0 ? -offset : offset;
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
