/**
 * A record that came from elsewhere (a bag, or a record folder in a ZIP), opened for reading.
 *
 * It is shown and never stored among the jobs of this device. Reading it is no verdict: who needs one
 * asks the verifier.
 */
import type { BagFile } from '#lib/core/bag/bag-file.ts';
import { bytesOf } from '#lib/core/bag/bag-file.ts';
import { photoPath, placeOf } from '#lib/core/bag/layout.ts';
import { readRecordFolder } from '#lib/core/bag/read-folder.ts';
import type { RecordFolder } from '#lib/core/bag/read-folder.ts';
import type { ByteSource } from '#lib/core/bag/source.ts';
import { contentsOf, openArchive } from '#lib/core/bag/zip-reader.ts';
import { fold } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import type { JobState } from '#lib/core/job/state.ts';
import { hex } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

export interface ReadRecord {
  readonly folder: RecordFolder;
  /** The job as its events tell it. */
  readonly state: JobState;
  /** The bytes of a photo, or null when it was left out. */
  photo(sha256: string): Promise<Uint8Array | null>;
}

/** Opens a file that somebody handed over: `not-a-record` with what is wrong with it. */
export async function readRecordFile(file: Blob): Promise<Result<ReadRecord>> {
  const source: ByteSource = {
    size: file.size,
    read: async (offset, length) =>
      new Uint8Array(await file.slice(offset, offset + length).arrayBuffer()),
  };
  try {
    const opened = await openArchive(source);
    if (!opened.ok) return notARecord(opened.flaw.says);
    const files = opened.value.files.flatMap((each): BagFile[] => {
      const path = pathInside(each.name);
      const open = () => contentsOf(source, each, webPrimitives);
      return placeOf(path) === null ? [] : [{ path, size: each.size, open }];
    });
    const folder = await readRecordFolder(files, webPrimitives);
    return folder.ok ? done(recordOf(folder.value)) : notARecord(folder.flaw.says);
  } catch (error) {
    return notARecord(error instanceof Error ? error.message : 'It cannot be read.');
  }
}

function recordOf(folder: RecordFolder): ReadRecord {
  const sha256 = hex(purePrimitives.sha256(folder.checklistBytes));
  const unopened = initialState(planOf(folder.checklist), sha256);
  return {
    folder,
    state: fold(unopened, folder.events),
    photo: async (digest) => {
      const file = folder.files.find(({ path }) => path === photoPath(digest));
      return file === undefined ? null : bytesOf(file);
    },
  };
}

/** The path in the record folder: a bag holds it under `<name>/data/`. */
function pathInside(name: string): string {
  return name.replace(/^[^/]+\/data\//, '');
}

function notARecord(why: string): Result<never> {
  return failed(
    'not-a-record',
    `This file cannot be read as a record. ${why} Nothing on this device was changed. Choose an evidence bag or an exported record.`,
  );
}
