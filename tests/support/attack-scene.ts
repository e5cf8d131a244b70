/** A sealed bag, those who would change it, and what an attack on it is. */
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import type { KeyList } from '#lib/core/bag/keys.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import type { CheckId } from '#lib/core/bag/report.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { fromHex, utf8 } from '#lib/core/record/bytes.ts';
import { headOf, manifestOf } from '#lib/core/record/chain.ts';
import { signCheckpoint } from '#lib/core/record/checkpoint.ts';
import type { Body } from '#lib/core/record/entry.ts';
import { receiptText } from '#lib/core/record/receipt.ts';
import { sealEntry } from '#lib/core/record/sealed.ts';
import type { EntryFields, Head, SealedEntry } from '#lib/core/record/sealed.ts';
import { inclusionProof, rootAt, treeOf } from '#lib/core/record/tree.ts';
import { entryFields, maraKey } from './a-record.ts';
import { eventsOf, lampPieces, packed, trusted, wholeJob } from './a-bag.ts';
import { refront, resealed, takenApart, withRecord } from './attacker.ts';
import type { Contents } from './attacker.ts';

export const pieces = await lampPieces();
export const { sealed } = pieces;
export const bag = await packed(recordFolderFiles(pieces));
export const fresh = await takenApart(bag);
export const logKey = keyOfSeed(new Uint8Array(32).fill(77));
export const origin = 'log.example/crew1';
export const otherJob = '019ac0de-7000-7abc-8def-0123456789ff';
export const trust: KeyList = { ...trusted, logs: [{ name: origin, publicKey: logKey.publicKey }] };

/** Changes a copy of the bag's contents, makes the front page again, and seals it as an attacker. */
export async function attacked(
  change: (contents: Contents) => void | Promise<void>,
): Promise<Uint8Array> {
  const contents = new Map(fresh);
  await change(contents);
  await refront(contents);
  return resealed(contents);
}

/** Another record in place of this one. */
export const another = (record: readonly SealedEntry[]): Promise<Uint8Array> =>
  attacked((contents) => withRecord(contents, record));

/** Seals events with any head, as an insider with a good key can. */
export async function insider(
  events: readonly JobEvent[],
  lie: (
    fields: EntryFields,
    head: Head | null,
    seq: number,
  ) => [EntryFields, Head | null] | null = () => null,
  key = maraKey,
): Promise<SealedEntry[]> {
  const record: SealedEntry[] = [];
  for (const [seq, event] of events.entries()) {
    const honest = sealed[seq]?.entry;
    const { at, mono, boot, by } = event;
    const manifest = { ...manifestOf(record, key.key) };
    const body = (event.type === 'job.closed' ? { ...event.body, manifest } : event.body) as Body;
    const digests = honest?._sd === undefined ? {} : { _sd: honest._sd };
    const fields = entryFields(event.type, body, { at, mono, boot, by, ...digests });
    const last = record.at(-1);
    const head = last === undefined ? null : headOf(last);
    const [told, upon] = lie(fields, head, seq) ?? [fields, head];
    const made = await sealEntry(told, upon, key, nodePrimitives);
    if (!made.ok) throw new Error(made.flaw.says);
    record.push(made.value);
  }
  return record;
}
export const events = eventsOf(wholeJob);

export const text = (contents: Contents, path: string): string =>
  Buffer.from(contents.get(path) ?? '').toString();

export const leaves = sealed.map(({ hash }) => fromHex(hash) ?? new Uint8Array());
export async function receiptOf(seq: number, spoil = false): Promise<Uint8Array> {
  const { nodeAt, size } = treeOf(leaves, nodePrimitives);
  const root = rootAt(size, nodeAt, nodePrimitives);
  if (spoil) root[0] = (root[0] ?? 0) ^ 1;
  const note = await signCheckpoint(
    { origin, size, root },
    logKey.publicKey,
    logKey.sign,
    nodePrimitives,
  );
  if (!note.ok) throw new Error(note.flaw.says);
  return utf8(receiptText(seq, inclusionProof(seq, size, nodeAt, nodePrimitives), note.value));
}

export interface Attack {
  readonly what: string;
  readonly check: CheckId;
  /** No other check catches it. */
  readonly alone: boolean;
  make(): Uint8Array | Promise<Uint8Array>;
}
