/** Jobs for the server's tests: each with an id of its own. */
import { randomBytes } from 'node:crypto';
import { uuidV7 } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import { entryFields, maraKey, sealNext } from './a-record.ts';

const DAY = Date.UTC(2026, 10, 25);

export const freshJobId = (): string => uuidV7(DAY, new Uint8Array(randomBytes(10)));

/** A job that nobody knows yet, opened and `count - 1` steps long. */
export async function aJob(count: number, key: NodeKey = maraKey, by = 'mara') {
  return longer([], count, freshJobId(), key, by);
}

/** The same job with more entries. */
export async function longer(
  before: readonly SealedEntry[],
  more: number,
  job: string,
  key: NodeKey = maraKey,
  by = 'mara',
): Promise<SealedEntry[]> {
  const sealed = [...before];
  for (let at = 0; at < more; at += 1) {
    const seq = sealed.length;
    const type = seq === 0 ? 'job.opened' : 'step.done';
    const fields = entryFields(type, { step: `s${seq}` }, { job, by, mono: seq });
    sealed.push(await sealNext(sealed, fields, key));
  }
  return sealed;
}

export const linesOf = (sealed: readonly SealedEntry[]): Uint8Array[] =>
  sealed.map(({ line }) => line);
