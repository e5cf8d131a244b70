/**
 * Reads a ZIP file that may be hostile.
 *
 * Untrusted: every byte. The directory is read once and bounded; each local header must say what the
 * directory says; the files must fill the archive from its first byte to the directory without gap or
 * overlap; inflated bytes are counted as they come and never trusted to be what a header claims.
 * Time is linear in the size of the archive, memory is that of the directory and one stride.
 */
import { textOf } from '../record/bytes.ts';
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import type { Primitives } from '../record/primitives.ts';
import { crc32 } from './crc32.ts';
import { inflated } from './inflate.ts';
import { readRange } from './source.ts';
import type { ByteSource } from './source.ts';
import {
  CENTRAL_LENGTH,
  CENTRAL_MARK,
  DEFLATED,
  DESCRIPTOR_MARK,
  END_LENGTH,
  END_MARK,
  FLAG_DESCRIPTOR,
  KNOWN_FLAGS,
  LOCAL_LENGTH,
  LOCAL_MARK,
  STORED,
  WRITTEN,
} from './zip-form.ts';
import { pathFlaw, twinOf } from './zip-names.ts';

export interface ZipLimits {
  readonly files: number;
  /** Bytes of the directory. */
  readonly directory: number;
  /** Bytes of all files together, inflated. */
  readonly inflated: number;
  /** Most inflated bytes for one deflated byte, beyond a first MiB. */
  readonly ratio: number;
}

export const ZIP_LIMITS: ZipLimits = {
  files: 20_000,
  directory: 8 * 1024 * 1024,
  inflated: 8 * 1024 ** 3,
  ratio: 200,
};

export interface ZipFile {
  readonly name: string;
  readonly size: number;
  readonly packed: number;
  readonly method: number;
  readonly crc: number;
  readonly flags: number;
  /** Where the local header begins, and, once that was read, where the data begins. */
  readonly offset: number;
  readonly data: number;
}

export interface Archive {
  readonly files: readonly ZipFile[];
  /** True when every header is spelt as this program writes it. */
  readonly asWritten: boolean;
}

const no = (says: string): ReturnType<typeof flawed> => flawed('bad-encoding', says);

/** Lists an archive, every header checked; the contents are checked as `contentsOf` gives them. */
export async function openArchive(
  source: ByteSource,
  limits: ZipLimits = ZIP_LIMITS,
): Promise<Outcome<Archive>> {
  if (source.size < END_LENGTH) return no('The file is too short to be a ZIP archive.');
  if (source.size >= 0xffffffff)
    return no('The file is larger than the 4 GiB that a bag may have.');
  const end = viewOf(await source.read(source.size - END_LENGTH, END_LENGTH));
  if (end.getUint32(0, true) !== END_MARK) {
    return no(
      'The file does not end like a ZIP archive: it is cut, is no archive, or has a comment.',
    );
  }
  const count = end.getUint16(10, true);
  const length = end.getUint32(12, true);
  const start = end.getUint32(16, true);
  if (end.getUint32(4, true) !== 0 || end.getUint16(8, true) !== count || end.getUint16(20, true)) {
    return no('The archive is spread over several files, or has a comment.');
  }
  if (count > limits.files || length > limits.directory) {
    return no(
      `The archive lists ${count} files in ${length} bytes, which is more than a bag may have.`,
    );
  }
  if (start + length + END_LENGTH !== source.size) {
    return no('The directory of the archive is not where its end says.');
  }
  const listed = readDirectory(await source.read(start, length), count);
  if (!listed.ok) return listed;
  return checkLocals(source, listed.value, start, limits);
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

interface Listed extends Omit<ZipFile, 'data'> {
  readonly plain: boolean;
  readonly central: { readonly time: number; readonly date: number; readonly needed: number };
}

function readDirectory(bytes: Uint8Array, count: number): Outcome<readonly Listed[]> {
  const view = viewOf(bytes);
  const files: Listed[] = [];
  const twins = new Set<string>();
  let at = 0;
  while (at < bytes.length) {
    if (at + CENTRAL_LENGTH > bytes.length || view.getUint32(at, true) !== CENTRAL_MARK) {
      return no('The directory of the archive is broken.');
    }
    const read = readListed(bytes, view, at);
    if (!read.ok) return read;
    const { file, next } = read.value;
    if (twins.has(twinOf(file.name))) {
      return no(
        `“${file.name}” is in the archive twice, or beside a name that differs only in case.`,
      );
    }
    twins.add(twinOf(file.name));
    files.push(file);
    at = next;
  }
  if (files.length !== count) return no('The directory does not hold as many files as it says.');
  return good(files);
}

function readListed(
  bytes: Uint8Array,
  view: DataView,
  at: number,
): Outcome<{ readonly file: Listed; readonly next: number }> {
  const u16 = (from: number): number => view.getUint16(at + from, true);
  const u32 = (from: number): number => view.getUint32(at + from, true);
  const [nameLength, extraLength, commentLength] = [u16(28), u16(30), u16(32)];
  const next = at + CENTRAL_LENGTH + nameLength + extraLength + commentLength;
  if (next > bytes.length) return no('The directory of the archive is broken.');
  const nameAt = at + CENTRAL_LENGTH;
  const name = textOf(bytes.subarray(nameAt, nameAt + nameLength)) ?? '';
  const [flags, method, attributes] = [u16(8), u16(10), u32(38)];
  const file: Listed = {
    name,
    flags,
    method,
    crc: u32(16),
    packed: u32(20),
    size: u32(24),
    offset: u32(42),
    central: { needed: u16(6), time: u16(12), date: u16(14) },
    plain:
      extraLength === 0 &&
      commentLength === 0 &&
      u16(4) === WRITTEN.madeBy &&
      u16(36) === 0 &&
      attributes === WRITTEN.attributes,
  };
  const flaw = listedFlaw(file, u16(4) >>> 8, attributes, u16(34));
  return flaw === null ? good({ file, next }) : no(flaw);
}

/** Unix file types in the upper half of the attributes. */
const TYPE_MASK = 0o170000;
const REGULAR = 0o100000;
const FOLDER = 0o040000;

function listedFlaw(file: Listed, system: number, attributes: number, disk: number): string | null {
  const quoted = `“${file.name.slice(0, 80)}”`;
  const isFolder = file.name.endsWith('/');
  const wrong = pathFlaw(isFolder ? file.name.slice(0, -1) : file.name);
  if (wrong !== null) return `A name in the archive ${wrong}: ${quoted}.`;
  const type = system === 3 ? (attributes >>> 16) & TYPE_MASK : 0;
  if (type !== 0 && type !== (isFolder ? FOLDER : REGULAR)) {
    return `${quoted} is a link or a device, not a plain file.`;
  }
  if ((file.flags & ~KNOWN_FLAGS) !== 0)
    return `${quoted} is encrypted, or packed in an unknown way.`;
  if (file.method !== STORED && file.method !== DEFLATED) {
    return `${quoted} is packed by method ${file.method}; a bag is stored or deflated.`;
  }
  if (file.method === STORED && file.packed !== file.size) {
    return `${quoted} is stored, yet says that it has two sizes.`;
  }
  if (isFolder && (file.size !== 0 || file.packed !== 0))
    return `The folder ${quoted} has contents.`;
  if (disk !== 0 || file.offset === 0xffffffff || file.size === 0xffffffff) {
    return `${quoted} is spread over several archives, or larger than a bag may have.`;
  }
  return null;
}

async function checkLocals(
  source: ByteSource,
  listed: readonly Listed[],
  end: number,
  limits: ZipLimits,
): Promise<Outcome<Archive>> {
  const files: ZipFile[] = [];
  let asWritten = true;
  let due = 0;
  let total = 0;
  for (const file of [...listed].sort((one, other) => one.offset - other.offset)) {
    if (file.offset !== due) {
      return no(`There are bytes before “${file.name}” that belong to no file, or to two.`);
    }
    total += file.size;
    if (total > limits.inflated || file.size > file.packed * limits.ratio + 1024 * 1024) {
      return no(
        `“${file.name}” would unpack to far more than it is packed in: ${file.size} bytes.`,
      );
    }
    const local = await checkLocal(source, file, end);
    if (!local.ok) return local;
    files.push(local.value.file);
    due = local.value.next;
    asWritten &&= file.plain && local.value.plain;
  }
  if (due !== end) return no('There are bytes behind the last file that belong to none.');
  const inOrder = listed.every((file, at) => file.name === files[at]?.name);
  return good({ files, asWritten: asWritten && inOrder });
}

async function checkLocal(
  source: ByteSource,
  listed: Listed,
  end: number,
): Promise<Outcome<{ readonly file: ZipFile; readonly next: number; readonly plain: boolean }>> {
  const differs = no(`The two headers of “${listed.name}” say different things.`);
  const { name, size, packed, method, crc, flags, offset, central } = listed;
  if (offset + LOCAL_LENGTH + name.length > end) return differs;
  const header = await source.read(offset, LOCAL_LENGTH + name.length);
  const view = viewOf(header);
  const late = (flags & FLAG_DESCRIPTOR) !== 0;
  const says = [view.getUint32(14, true), view.getUint32(18, true), view.getUint32(22, true)];
  const wants = [crc, packed, size];
  const same =
    view.getUint32(0, true) === LOCAL_MARK &&
    view.getUint16(4, true) === central.needed &&
    view.getUint16(6, true) === flags &&
    view.getUint16(8, true) === method &&
    view.getUint16(10, true) === central.time &&
    view.getUint16(12, true) === central.date &&
    view.getUint16(26, true) === name.length &&
    textOf(header.subarray(LOCAL_LENGTH)) === name &&
    (says.every((value, at) => value === wants[at]) ||
      (late && says.every((value) => value === 0)));
  if (!same) return differs;
  const extraLength = view.getUint16(28, true);
  const data = offset + LOCAL_LENGTH + name.length + extraLength;
  if (data + packed > end) return no(`“${name}” reaches beyond the files of the archive.`);
  const descriptor = late ? await descriptorLength(source, data + packed, end, wants) : 0;
  if (descriptor === null) return differs;
  const plain =
    extraLength === 0 &&
    central.needed === WRITTEN.needed &&
    flags === WRITTEN.flags &&
    method === STORED &&
    central.time === WRITTEN.time &&
    central.date === WRITTEN.date;
  const file = { name, size, packed, method, crc, flags, offset, data };
  return good({ file, next: data + packed + descriptor, plain });
}

/** Sum and sizes behind the data, with or without a mark before them. */
async function descriptorLength(
  source: ByteSource,
  at: number,
  end: number,
  wants: readonly number[],
): Promise<number | null> {
  const bytes = await source.read(at, Math.min(16, end - at));
  const view = viewOf(bytes);
  for (const mark of [4, 0]) {
    if (bytes.length < mark + 12) continue;
    if (mark === 4 && view.getUint32(0, true) !== DESCRIPTOR_MARK) continue;
    if (wants.every((value, index) => view.getUint32(mark + index * 4, true) === value)) {
      return mark + 12;
    }
  }
  return null;
}

/** The content of a file turned out not to be what its headers say. */
export class BrokenContent extends Error {
  override readonly name = 'BrokenContent';
}

/**
 * The bytes of a file, inflated if need be, checked against its size and its sum at the end.
 * @throws BrokenContent in the middle of reading, at the first byte too many or at a wrong sum
 */
export async function* contentsOf(
  source: ByteSource,
  file: ZipFile,
  primitives: Pick<Primitives, 'crc32'>,
): AsyncGenerator<Uint8Array> {
  const sumOf = primitives.crc32 ?? crc32;
  let size = 0;
  let sum = 0;
  const packed = readRange(source, file.data, file.packed);
  for await (const bytes of file.method === STORED ? packed : inflatedOf(file, packed)) {
    size += bytes.length;
    if (size > file.size) throw new BrokenContent(`“${file.name}” is longer than its header says.`);
    sum = sumOf(bytes, sum);
    yield bytes;
  }
  if (size !== file.size)
    throw new BrokenContent(`“${file.name}” is shorter than its header says.`);
  if (sum !== file.crc) throw new BrokenContent(`The sum (CRC-32) of “${file.name}” is wrong.`);
}

async function* inflatedOf(
  file: ZipFile,
  packed: AsyncIterable<Uint8Array>,
): AsyncGenerator<Uint8Array> {
  try {
    yield* inflated(packed);
  } catch {
    throw new BrokenContent(
      `The packed bytes of “${file.name}” are broken, cut, or followed by more.`,
    );
  }
}
