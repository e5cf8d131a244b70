import * as m from '../paraglide/messages.js';
import type { Key } from './entry.svelte.ts';

const names: Partial<Record<Key, () => string>> = {
  back: m.key_back,
  OL: m.key_ol,
  unstable: m.key_unstable,
  minus: m.key_minus,
  point: m.key_point,
};

/** What stands on a key. */
export function keyFace(key: Key): string {
  if (key === 'unstable') return m.key_unstable_short();
  const faces: Partial<Record<Key, string>> = { back: '⌫', point: '.', minus: '−' };
  return faces[key] ?? key;
}

/** What a key is called where its face is not enough; undefined for a digit. */
export function keyName(key: Key): string | undefined {
  return names[key]?.();
}
