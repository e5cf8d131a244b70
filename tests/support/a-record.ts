/** Builders of sealed records for tests: fictional people, fixed keys, a clock that only counts. */
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import type { NodeKey } from '#lib/crypto/node.ts';
import type { Body, EntryType } from '#lib/core/record/entry.ts';
import { headOf, manifestOf } from '#lib/core/record/chain.ts';
import { sealEntry } from '#lib/core/record/sealed.ts';
import type { EntryFields, SealedEntry } from '#lib/core/record/sealed.ts';
import { joined, utf8 } from '#lib/core/record/bytes.ts';

export const maraKey: NodeKey = keyOfSeed(new Uint8Array(32).fill(7));
export const tomasKey: NodeKey = keyOfSeed(new Uint8Array(32).fill(8));

export const aJobId = '019ac0de-7000-7abc-8def-0123456789ab';

export function entryFields(
  type: EntryType,
  body: Body = {},
  more: Partial<EntryFields> = {},
): EntryFields {
  return {
    app: '0.1.0+test',
    at: '2026-11-25T10:42:07.120-05:00',
    body,
    boot: 'k3test',
    by: 'mara',
    job: aJobId,
    mono: 0,
    rules: 'ab'.repeat(32),
    type,
    ...more,
  };
}

/** Seals one entry after the others; throws if it is refused. */
export async function sealNext(
  before: readonly SealedEntry[],
  fields: EntryFields,
  key: NodeKey = maraKey,
): Promise<SealedEntry> {
  const last = before.at(-1);
  const head = last === undefined ? null : headOf(last);
  const sealed = await sealEntry(fields, head, key, nodePrimitives);
  if (!sealed.ok) throw new Error(sealed.flaw.says);
  return sealed.value;
}

/** A job of `count` entries (at least 2), opened and closed, a second apart. */
export async function aRecord(count: number): Promise<SealedEntry[]> {
  const sealed: SealedEntry[] = [];
  for (let seq = 0; seq < count; seq += 1) {
    const type = seq === 0 ? 'job.opened' : seq === count - 1 ? 'job.closed' : 'step.done';
    const manifest = manifestOf(sealed, maraKey.key);
    const body: Body =
      type === 'step.done'
        ? { step: `step-${seq}`, result: {} }
        : type === 'job.closed'
          ? { openEnds: [], manifest: { ...manifest } as Body }
          : {};
    const at = `2026-11-25T10:${String(10 + Math.floor(seq / 60)).padStart(2, '0')}:${String(seq % 60).padStart(2, '0')}.000-05:00`;
    sealed.push(await sealNext(sealed, entryFields(type, body, { at, mono: seq * 1000 })));
  }
  return sealed;
}

/** The bytes of `record.jsonl`. */
export function recordBytes(sealed: readonly SealedEntry[]): Uint8Array {
  return joined(...sealed.flatMap(({ line }) => [line, utf8('\n')]));
}
