/** Bodies of requests, read with a hard stop: nobody's length is believed. */
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';

/**
 * @param most bytes that are read at all
 * @param types accepted content types, without parameters
 */
export async function readBody(
  request: Request,
  most: number,
  types: readonly string[],
): Promise<Answered<Uint8Array>> {
  const type = request.headers.get('content-type')?.split(';')[0]?.trim().toLowerCase() ?? '';
  if (!types.includes(type))
    return refused(415, 'wrong-type', `Send it as ${types.join(' or ')}. Nothing was stored.`);
  const encoding = request.headers.get('content-encoding') ?? 'identity';
  if (encoding !== 'identity')
    return refused(415, 'wrong-encoding', 'Send it as it is, not compressed. Nothing was stored.');
  const parts: Uint8Array[] = [];
  let size = 0;
  const reader = request.body?.getReader();
  for (let read = await reader?.read(); read?.done === false; read = await reader?.read()) {
    size += read.value.length;
    if (size > most) {
      await reader?.cancel();
      return refused(
        413,
        'too-large',
        `At most ${most} bytes are taken at once. Nothing was stored.`,
      );
    }
    parts.push(read.value);
  }
  return answered(Buffer.concat(parts, size));
}

/** A JSON body, parsed and not looked at. */
export async function readJson(request: Request, most = 64 * 1024): Promise<Answered<unknown>> {
  const body = await readBody(request, most, ['application/json']);
  if (!body.ok) return body;
  try {
    return answered(JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(body.value)));
  } catch {
    return refused(400, 'not-json', 'The request is not JSON. Nothing was stored.');
  }
}
