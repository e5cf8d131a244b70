/**
 * Writes a stored ZIP file as a stream: each file is read once if it is small, twice if it is not, and
 * never held whole beyond 16 MiB.
 */
import { flawed, good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import type { HashStream, Primitives } from '../record/primitives.ts';
import { hex } from '../record/bytes.ts';
import type { BagFile } from './bag-file.ts';
import { crc32 } from './crc32.ts';
import { centralHeader, END_LENGTH, endRecord, localHeader } from './zip-form.ts';
import type { ZipPlace } from './zip-form.ts';

type Hashing = Pick<Primitives, 'hashStream' | 'crc32'>;

/** A file changed between its two readings, or its digest is not the one that names it. */
export class ChangedWhileRead extends Error {
  override readonly name = 'ChangedWhileRead';
}

export interface Written {
  readonly size: number;
  /** Hex. */
  readonly sha256: string;
  /** Hex. */
  readonly sha512: string;
}

const HELD_BYTES = 16 * 1024 * 1024;

/** A ZIP under way: files go in one after the other, then the directory ends it. */
export class ZipWriter {
  readonly #places: ZipPlace[] = [];
  readonly #primitives: Hashing;
  #offset = 0;

  constructor(primitives: Hashing) {
    this.#primitives = primitives;
  }

  /** The bytes of one file in the archive; its digests are returned when all were taken. */
  async *file(name: string, file: BagFile): AsyncGenerator<Uint8Array, Written> {
    const first = await this.#readThrough(file);
    // Apart from what is held: the caller keeps the digests of every file until the end.
    const { sha256, sha512 } = first;
    const written: Written = { size: first.size, sha256, sha512 };
    const place = { name, size: first.size, crc: first.crc, offset: this.#offset };
    this.#places.push(place);
    yield* this.#sent(localHeader(place));
    if (first.held !== null) {
      for (const bytes of first.held) yield* this.#sent(bytes);
      return written;
    }
    let [size, crc] = [0, 0];
    for await (const bytes of file.open()) {
      size += bytes.length;
      crc = this.#sum(bytes, crc);
      yield* this.#sent(bytes);
    }
    if (size !== first.size || crc !== first.crc) {
      throw new ChangedWhileRead(`${file.path} changed while it was put into the bag.`);
    }
    return written;
  }

  /** The directory and the end. */
  *end(): Generator<Uint8Array> {
    const start = this.#offset;
    for (const place of this.#places) yield* this.#sent(centralHeader(place));
    yield endRecord(this.#places.length, this.#offset - start, start);
  }

  *#sent(bytes: Uint8Array): Generator<Uint8Array> {
    this.#offset += bytes.length;
    yield bytes;
  }

  #sum(bytes: Uint8Array, from: number): number {
    return (this.#primitives.crc32 ?? crc32)(bytes, from);
  }

  async #readThrough(
    file: BagFile,
  ): Promise<Written & { readonly crc: number; readonly held: readonly Uint8Array[] | null }> {
    const hashes: readonly HashStream[] = [
      this.#primitives.hashStream('sha256'),
      this.#primitives.hashStream('sha512'),
    ];
    let held: Uint8Array[] | null = [];
    let [size, crc] = [0, 0];
    for await (const bytes of file.open()) {
      size += bytes.length;
      crc = this.#sum(bytes, crc);
      for (const hash of hashes) hash.update(bytes);
      if (size > HELD_BYTES) held = null;
      else held?.push(bytes.slice());
    }
    if (size !== file.size) {
      throw new ChangedWhileRead(
        `${file.path} has ${size} bytes and was said to have ${file.size}.`,
      );
    }
    const [sha256, sha512] = await Promise.all(hashes.map((hash) => hash.digest()));
    return { size, crc, held, sha256: hexOf(sha256), sha512: hexOf(sha512) };
  }
}

function hexOf(digest: Uint8Array | undefined): string {
  if (digest === undefined) throw new TypeError('A hash gave no digest.');
  return hex(digest);
}

/** Bytes of an archive without Zip64 must stay below this. */
export const MOST_ARCHIVE_BYTES = 0xffffffff - END_LENGTH;

/** Will these files fit an archive? Headers and names counted generously. */
export function fits(files: readonly BagFile[]): Outcome<number> {
  const total = files.reduce((sum, { size }) => sum + size + 1024, 64 * 1024);
  if (files.length <= 19_000 && total < MOST_ARCHIVE_BYTES) return good(total);
  return flawed(
    'too-long',
    `These ${files.length} files have about ${Math.ceil(total / 2 ** 20)} MiB; a bag holds at most 19,000 files and 4 GiB. Withhold some photos.`,
  );
}
