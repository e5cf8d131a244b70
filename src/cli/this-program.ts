// What this program is called, and what time it is for it.
import { readFileSync } from 'node:fs';

export function programVersion(): string {
  const { version } = JSON.parse(
    readFileSync(new URL('../../package.json', import.meta.url), 'utf8'),
  ) as { version: string };
  return version;
}

/** RFC 3339 with the offset of this machine, to the millisecond. */
export function wallTime(now: Date): string {
  const ahead = -now.getTimezoneOffset();
  const two = (value: number): string => String(Math.trunc(Math.abs(value))).padStart(2, '0');
  const local = new Date(now.getTime() + ahead * 60_000).toISOString().slice(0, -1);
  return `${local}${ahead < 0 ? '-' : '+'}${two(ahead / 60)}:${two(ahead % 60)}`;
}
