/** An id of somebody new whom other devices are to know too: no two devices make the same. */
export function idEverywhere(name: string): string {
  const tail = [...crypto.getRandomValues(new Uint8Array(4))].map((byte) => LETTERS[byte & 31]);
  return `${idFor(name.slice(0, 50), [])}-${tail.join('')}`;
}

const LETTERS = '0123456789abcdefghjkmnpqrstvwxyz';

/** A short id for somebody new: the name in small letters, with a number when it is taken. */
export function idFor(name: string, known: readonly { readonly id: string }[]): string {
  const plain = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/gu, '-')
    .replace(/^-+|-+$/gu, '');
  const base = plain === '' ? 'person' : plain;
  for (let number = 1; ; number++) {
    const id = number === 1 ? base : `${base}-${number}`;
    if (!known.some((each) => each.id === id)) return id;
  }
}
