/** ZIP files with any lie in them, built field by field: for what no honest writer would write. */
import { deflateRawSync, crc32 } from 'node:zlib';

export interface RawFile {
  readonly name: string;
  readonly content: Uint8Array;
  /** Packs the content; stored when absent. */
  readonly deflated?: boolean;
  /** Fields of the directory (and of the local header, unless `local` says otherwise). */
  readonly says?: Partial<RawFields>;
  readonly local?: Partial<RawFields>;
  /** Sizes and sum behind the data: with a mark, without, or wrong ones. */
  readonly descriptor?: 'marked' | 'plain' | 'wrong';
  /** Bytes between this file and the next. */
  readonly gap?: number;
  /** The local header of this file is the one of another place. */
  readonly offset?: number;
}

export interface RawFields {
  madeBy: number;
  needed: number;
  flags: number;
  method: number;
  time: number;
  date: number;
  crc: number;
  packed: number;
  size: number;
  attributes: number;
  disk: number;
  extra: Uint8Array;
  comment: Uint8Array;
  name: string;
}

export interface RawEnd {
  readonly count?: number;
  readonly comment?: Uint8Array;
  readonly disk?: number;
  readonly prefix?: number;
}

export function rawZip(files: readonly RawFile[], end: RawEnd = {}): Uint8Array {
  const parts: Buffer[] = [Buffer.alloc(end.prefix ?? 0)];
  let at = end.prefix ?? 0;
  const directory: Buffer[] = [];
  const push = (bytes: Buffer): void => {
    parts.push(bytes);
    at += bytes.length;
  };
  for (const file of files) {
    const data = Buffer.from(file.deflated ? deflateRawSync(file.content) : file.content);
    const late = file.descriptor !== undefined;
    const says: RawFields = {
      madeBy: (3 << 8) | 20,
      needed: 20,
      flags: late ? 8 : 0,
      method: file.deflated ? 8 : 0,
      time: 0,
      date: 0x21,
      crc: crc32(file.content),
      packed: data.length,
      size: file.content.length,
      attributes: 0o100644 * 0x10000,
      disk: 0,
      extra: new Uint8Array(),
      comment: new Uint8Array(),
      name: file.name,
      ...file.says,
    };
    const local = { ...says, ...(late ? { crc: 0, packed: 0, size: 0 } : {}), ...file.local };
    directory.push(centralOf(says, file.offset ?? at));
    push(localOf(local));
    push(data);
    if (file.descriptor !== undefined) push(descriptorOf(says, file.descriptor));
    push(Buffer.alloc(file.gap ?? 0));
  }
  const start = at;
  for (const header of directory) push(header);
  push(endOf(end.count ?? files.length, at - start, start, end));
  return new Uint8Array(Buffer.concat(parts));
}

function localOf(field: RawFields): Buffer {
  const name = Buffer.from(field.name);
  const head = Buffer.alloc(30);
  head.writeUInt32LE(0x04034b50, 0);
  head.writeUInt16LE(field.needed, 4);
  writeCommon(head, 6, field);
  head.writeUInt16LE(name.length, 26);
  head.writeUInt16LE(field.extra.length, 28);
  return Buffer.concat([head, name, field.extra]);
}

function centralOf(field: RawFields, offset: number): Buffer {
  const name = Buffer.from(field.name);
  const head = Buffer.alloc(46);
  head.writeUInt32LE(0x02014b50, 0);
  head.writeUInt16LE(field.madeBy, 4);
  head.writeUInt16LE(field.needed, 6);
  writeCommon(head, 8, field);
  head.writeUInt16LE(name.length, 28);
  head.writeUInt16LE(field.extra.length, 30);
  head.writeUInt16LE(field.comment.length, 32);
  head.writeUInt16LE(field.disk, 34);
  head.writeUInt32LE(field.attributes >>> 0, 38);
  head.writeUInt32LE(offset, 42);
  return Buffer.concat([head, name, field.extra, field.comment]);
}

function writeCommon(head: Buffer, at: number, field: RawFields): void {
  head.writeUInt16LE(field.flags, at);
  head.writeUInt16LE(field.method, at + 2);
  head.writeUInt16LE(field.time, at + 4);
  head.writeUInt16LE(field.date, at + 6);
  head.writeUInt32LE(field.crc, at + 8);
  head.writeUInt32LE(field.packed, at + 12);
  head.writeUInt32LE(field.size, at + 16);
}

function descriptorOf(field: RawFields, kind: 'marked' | 'plain' | 'wrong'): Buffer {
  const bytes = Buffer.alloc(16);
  bytes.writeUInt32LE(0x08074b50, 0);
  bytes.writeUInt32LE(kind === 'wrong' ? 1 : field.crc, 4);
  bytes.writeUInt32LE(field.packed, 8);
  bytes.writeUInt32LE(field.size, 12);
  return kind === 'plain' ? bytes.subarray(4) : bytes;
}

function endOf(count: number, size: number, start: number, end: RawEnd): Buffer {
  const comment = end.comment ?? new Uint8Array();
  const bytes = Buffer.alloc(22);
  bytes.writeUInt32LE(0x06054b50, 0);
  bytes.writeUInt16LE(end.disk ?? 0, 4);
  bytes.writeUInt16LE(count, 8);
  bytes.writeUInt16LE(count, 10);
  bytes.writeUInt32LE(size, 12);
  bytes.writeUInt32LE(start, 16);
  bytes.writeUInt16LE(comment.length, 20);
  return Buffer.concat([bytes, comment]);
}
