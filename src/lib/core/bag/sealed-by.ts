/** The name under which a key seals bags: a C2SP note key whose name ends in the key's thumbprint. */
import type { NoteKey } from '../record/notes.ts';
import type { KnownKey } from './keys.ts';

export const NOTE = 'tagmanifest-sha256.txt.note';

const PREFIX = 'stillwire.bag/';

export function noteKeyOf({ key, publicKey }: Pick<KnownKey, 'key' | 'publicKey'>): NoteKey {
  return { name: `${PREFIX}${key}`, publicKey };
}
