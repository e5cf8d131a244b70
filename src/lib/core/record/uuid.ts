/** UUID version 7 (RFC 9562 section 5.7) from a given time and given randomness. */
import { hex } from './bytes.ts';

const FORM = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;

/**
 * @param ms Unix time in whole milliseconds, 0 to 2^48-1.
 * @param random 10 random bytes, of which 74 bits are used.
 */
export function uuidV7(ms: number, random: Uint8Array): string {
  if (!Number.isInteger(ms) || ms < 0 || ms >= 2 ** 48) throw new RangeError(`Not a time: ${ms}`);
  if (random.length !== 10) throw new RangeError(`Needs 10 random bytes, got ${random.length}`);
  const tail = random.slice();
  tail[0] = ((tail[0] ?? 0) & 0x0f) | 0x70;
  tail[2] = ((tail[2] ?? 0) & 0x3f) | 0x80;
  const text = ms.toString(16).padStart(12, '0') + hex(tail);
  return [
    text.slice(0, 8),
    text.slice(8, 12),
    text.slice(12, 16),
    text.slice(16, 20),
    text.slice(20),
  ].join('-');
}

export function isUuidV7(text: string): boolean {
  return FORM.test(text);
}

/** Unix time in milliseconds that a version 7 UUID was made at, as its maker told it. */
export function uuidTime(uuid: string): number {
  return Number.parseInt(uuid.slice(0, 8) + uuid.slice(9, 13), 16);
}
