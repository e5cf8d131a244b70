/** Answers of the endpoints: JSON and plain text, never kept by a cache unless they can never change. */
import { refused } from '../refusal.ts';
import type { Answered, Refused } from '../refusal.ts';

const NEVER_KEPT = { 'Cache-Control': 'no-store' };
/** For what a hash or a place in the log names: it will be the same for ever. */
const KEPT_FOR_EVER = { 'Cache-Control': 'public, max-age=31536000, immutable' };

export function reply<T>(answer: Answered<T>, status = 200): Response {
  return answer.ok
    ? Response.json({ ok: true, ...answer.value }, { status, headers: NEVER_KEPT })
    : refusal(answer);
}

export function refusal({ status, code, says }: Refused, headers: HeadersInit = {}): Response {
  const all = new Headers({ ...NEVER_KEPT, ...Object.fromEntries(new Headers(headers)) });
  return Response.json({ ok: false, code, says }, { status, headers: all });
}

export function plainText(text: string, forEver = false): Response {
  const headers = { 'Content-Type': 'text/plain; charset=utf-8' };
  return new Response(text, { headers: { ...headers, ...(forEver ? KEPT_FOR_EVER : NEVER_KEPT) } });
}

export function plainBytes(bytes: Uint8Array, forEver = false): Response {
  const headers = { 'Content-Type': 'application/octet-stream' };
  return new Response(bytes as Uint8Array<ArrayBuffer>, {
    headers: { ...headers, ...(forEver ? KEPT_FOR_EVER : NEVER_KEPT) },
  });
}

export const NOT_OWN_PAGE = refused(
  403,
  'other-page',
  'This was not asked for by a page of this server. Nothing was changed.',
);
