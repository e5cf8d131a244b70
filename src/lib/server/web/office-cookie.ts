/** The cookie of an office session. Over https its name keeps other hosts from setting it. */
import type { Cookies } from '@sveltejs/kit';

const PLAIN = 'stillwire-office';

const isSecure = (url: URL): boolean => url.protocol === 'https:';
const nameFor = (url: URL): string => (isSecure(url) ? `__Host-${PLAIN}` : PLAIN);

const flags = (url: URL) =>
  ({ path: '/', httpOnly: true, sameSite: 'lax', secure: isSecure(url) }) as const;

export function officeToken(cookies: Cookies, url: URL): string | null {
  const token = cookies.get(nameFor(url)) ?? '';
  return /^[A-Za-z0-9_-]{43}$/.test(token) ? token : null;
}

/** Ends with the browser; how long it is good at most, only the server knows. */
export function setOfficeToken(cookies: Cookies, url: URL, token: string): void {
  cookies.set(nameFor(url), token, flags(url));
}

export function dropOfficeToken(cookies: Cookies, url: URL): void {
  cookies.delete(nameFor(url), flags(url));
}
