/** Where to look for three whole numbers in a table: mixed as the finalizer of MurmurHash3 does (A. Appleby, public domain). */
export function hashOf3(a: number, b: number, c: number): number {
  let hash = Math.imul(a + 0x7ed55d16, 0x85ebca6b) ^ Math.imul(b, 0x9e3779b1);
  hash = Math.imul(hash ^ (hash >>> 15), 0xc2b2ae35) ^ Math.imul(c, 0x27d4eb2f);
  hash ^= hash >>> 13;
  hash = Math.imul(hash, 0x85ebca6b);
  return (hash ^ (hash >>> 16)) >>> 0;
}
