/**
 * Names inside an archive. Untrusted: an unpacker that believed them could be led anywhere.
 *
 * Only plain printable ASCII is taken, so that no two names look alike, differ by Unicode form, or mean
 * something to one system and not to another.
 */

const PLAIN = /^[A-Za-z0-9][A-Za-z0-9._@-]*$/;
const LONGEST = 240;
/** Names that Windows keeps for devices, with or without an ending. */
const DEVICE = /^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i;

/** What is wrong with the path of a file, in a few words; `null` for a plain relative path. */
export function pathFlaw(path: string): string | null {
  if (path.length === 0) return 'is empty';
  if (path.length > LONGEST) return `is longer than ${LONGEST} characters`;
  if (path.includes('\\')) return 'has a backslash';
  if (path.startsWith('/')) return 'begins at the root';
  for (const part of path.split('/')) {
    if (part === '' || part === '.') return 'has an empty part';
    if (part === '..') return 'climbs out of its folder';
    if (part.endsWith('.')) return 'has a part that ends with a full stop';
    if (!PLAIN.test(part)) return 'has characters other than plain letters, digits, . _ @ and -';
    if (DEVICE.test(part)) return 'is the name of a device on some systems';
  }
  return null;
}

/** Two names that some file system takes for one. */
export function twinOf(path: string): string {
  return path.toLowerCase();
}
