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
