/** Whose records a page of the office shows: the made-up crew of a demonstration never mixes with the real one. */
export const isMadeUp = (url: URL): boolean => url.searchParams.get('crew') === 'made-up';

/** A day of a form as milliseconds since 1970, at its begin or its end in UTC; null for none. */
export function dayIn(url: URL, name: string, end: boolean): number | null {
  const text = url.searchParams.get(name) ?? '';
  const ms = /^\d{4}-\d\d-\d\d$/.test(text)
    ? Date.parse(`${text}T${end ? '23:59:59.999' : '00:00:00'}Z`)
    : NaN;
  return Number.isNaN(ms) ? null : ms;
}
