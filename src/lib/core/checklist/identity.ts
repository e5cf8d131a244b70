import { canonicalBytes } from '../record/canonical.ts';
import { hex } from '../record/bytes.ts';

/**
 * The identity of a checklist for ever: the SHA-256, in lower-case hex, of the RFC 8785 canonical JSON
 * of what was read. Layout, comments and the order of keys do not count; every word does.
 */
export function checklistIdentity(
  json: unknown,
  sha256: (bytes: Uint8Array) => Uint8Array,
): string {
  return hex(sha256(canonicalBytes(json)));
}
