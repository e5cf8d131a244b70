/** Times as a form has them (`2026-11-30T16:40`, local) and as a record has them (RFC 3339 with offset). */

/** An entry about an act before it: when it was done, and the pictures of the paper that it stood on. */
export interface Late {
  /** RFC 3339 with offset. */
  readonly acted: string;
  readonly photos: readonly string[];
}

const two = (value: number): string => String(value).padStart(2, '0');

export function localNow(date: Date): string {
  const day = `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  return `${day}T${two(date.getHours())}:${two(date.getMinutes())}`;
}

/** Undefined when it is no time. */
export function instantOfLocal(text: string): string | undefined {
  const date = new Date(text);
  if (text === '' || Number.isNaN(date.getTime())) return undefined;
  const offset = -date.getTimezoneOffset();
  const size = Math.abs(offset);
  const zone = `${offset < 0 ? '-' : '+'}${two(Math.floor(size / 60))}:${two(size % 60)}`;
  return `${localNow(date)}:${two(date.getSeconds())}${zone}`;
}
