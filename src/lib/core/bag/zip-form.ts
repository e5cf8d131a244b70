/**
 * The parts of a ZIP file (PKWARE APPNOTE 6.3, sections 4.3 and 4.4) that a bag may have: no Zip64, no
 * encryption, no spanning, no comment, methods stored and deflated.
 */

export const LOCAL_MARK = 0x04034b50;
export const CENTRAL_MARK = 0x02014b50;
export const END_MARK = 0x06054b50;
export const DESCRIPTOR_MARK = 0x08074b50;

export const LOCAL_LENGTH = 30;
export const CENTRAL_LENGTH = 46;
export const END_LENGTH = 22;

export const STORED = 0;
export const DEFLATED = 8;

/** Bit 3: sizes and sum stand behind the data; bit 11: the name is UTF-8; bits 1, 2: deflate effort. */
export const FLAG_DESCRIPTOR = 0x0008;
export const KNOWN_FLAGS = 0x0008 | 0x0800 | 0x0006;

/** What this program writes in every header, so that a reader can tell its own bags from repacked ones. */
export const WRITTEN = {
  needed: 20,
  /** Unix, version 2.0: the upper half of the attributes is then a file mode. */
  madeBy: (3 << 8) | 20,
  flags: 0,
  /** 1980-01-01 00:00:00: the archive tells nothing about time, the record does. */
  time: 0,
  date: 0x21,
  /** A regular file, readable and not executable. */
  attributes: 0o100644 * 0x10000,
} as const;

export interface ZipPlace {
  readonly name: string;
  readonly size: number;
  readonly crc: number;
  /** Where its local header begins. */
  readonly offset: number;
}

export function localHeader({ name, size, crc }: ZipPlace): Uint8Array {
  const bytes = new Uint8Array(LOCAL_LENGTH + name.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, LOCAL_MARK, true);
  view.setUint16(4, WRITTEN.needed, true);
  view.setUint16(6, WRITTEN.flags, true);
  view.setUint16(8, STORED, true);
  view.setUint16(10, WRITTEN.time, true);
  view.setUint16(12, WRITTEN.date, true);
  view.setUint32(14, crc, true);
  view.setUint32(18, size, true);
  view.setUint32(22, size, true);
  view.setUint16(26, name.length, true);
  setName(bytes, LOCAL_LENGTH, name);
  return bytes;
}

export function centralHeader({ name, size, crc, offset }: ZipPlace): Uint8Array {
  const bytes = new Uint8Array(CENTRAL_LENGTH + name.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, CENTRAL_MARK, true);
  view.setUint16(4, WRITTEN.madeBy, true);
  view.setUint16(6, WRITTEN.needed, true);
  view.setUint16(8, WRITTEN.flags, true);
  view.setUint16(10, STORED, true);
  view.setUint16(12, WRITTEN.time, true);
  view.setUint16(14, WRITTEN.date, true);
  view.setUint32(16, crc, true);
  view.setUint32(20, size, true);
  view.setUint32(24, size, true);
  view.setUint16(28, name.length, true);
  view.setUint32(38, WRITTEN.attributes, true);
  view.setUint32(42, offset, true);
  setName(bytes, CENTRAL_LENGTH, name);
  return bytes;
}

export function endRecord(count: number, size: number, offset: number): Uint8Array {
  const bytes = new Uint8Array(END_LENGTH);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, END_MARK, true);
  view.setUint16(8, count, true);
  view.setUint16(10, count, true);
  view.setUint32(12, size, true);
  view.setUint32(16, offset, true);
  return bytes;
}

/** Names in a bag are ASCII, so that a length in characters is a length in bytes. */
function setName(bytes: Uint8Array, at: number, name: string): void {
  for (let index = 0; index < name.length; index += 1) bytes[at + index] = name.charCodeAt(index);
}
