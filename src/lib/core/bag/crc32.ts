/** CRC-32 as ZIP has it (ISO 3309, reflected polynomial 0xEDB88320), eight bytes a turn. */

const TABLES: readonly Uint32Array[] = buildTables();

function buildTables(): Uint32Array[] {
  const first = new Uint32Array(256);
  for (let byte = 0; byte < 256; byte += 1) {
    let sum = byte;
    for (let bit = 0; bit < 8; bit += 1) sum = sum & 1 ? (sum >>> 1) ^ 0xedb88320 : sum >>> 1;
    first[byte] = sum;
  }
  const tables = [first];
  for (let table = 1; table < 8; table += 1) {
    const before = tables[table - 1] ?? first;
    tables.push(before.map((sum) => (sum >>> 8) ^ (first[sum & 255] ?? 0)));
  }
  return tables;
}

const [T0, T1, T2, T3, T4, T5, T6, T7] = TABLES as [
  Uint32Array,
  Uint32Array,
  Uint32Array,
  Uint32Array,
  Uint32Array,
  Uint32Array,
  Uint32Array,
  Uint32Array,
];

/** The sum of the bytes, going on from the sum of those before them (0 at the start). */
export function crc32(bytes: Uint8Array, from = 0): number {
  let sum = ~from;
  let at = 0;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (; at + 8 <= bytes.length; at += 8) {
    const low = sum ^ view.getUint32(at, true);
    const high = view.getUint32(at + 4, true);
    sum =
      (T7[low & 255] ?? 0) ^
      (T6[(low >>> 8) & 255] ?? 0) ^
      (T5[(low >>> 16) & 255] ?? 0) ^
      (T4[low >>> 24] ?? 0) ^
      (T3[high & 255] ?? 0) ^
      (T2[(high >>> 8) & 255] ?? 0) ^
      (T1[(high >>> 16) & 255] ?? 0) ^
      (T0[high >>> 24] ?? 0);
  }
  for (; at < bytes.length; at += 1) sum = (sum >>> 8) ^ (T0[(sum ^ (bytes[at] ?? 0)) & 255] ?? 0);
  return ~sum >>> 0;
}
