import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { checkedNext, manifestOf, photosNamed, readRecord } from '#lib/core/record/chain.ts';
import { ENTRY_TYPES } from '#lib/core/record/entry.ts';
import { EVENT_TYPES } from '#lib/core/job/events.ts';
import {
  aRecord,
  entryFields,
  maraKey,
  recordBytes,
  sealNext,
  tomasKey,
} from '../../../support/a-record.ts';

const record = await aRecord(6);
const read = (sealed: typeof record): string => {
  const found = readRecord(recordBytes(sealed), nodePrimitives);
  return found.ok ? 'read' : `${found.flaw.code} ${found.flaw.says.split(':')[0]}`;
};
const without = (at: number): typeof record => record.filter((_, index) => index !== at);

describe('a chained record', () => {
  it('is read back entry for entry', () => {
    expect(readRecord(recordBytes(record), nodePrimitives)).toEqual({ ok: true, value: record });
  });

  it('begins with 64 zeros and numbers from 0', () => {
    expect(record[0]?.entry).toMatchObject({ seq: 0, prev: '0'.repeat(64) });
    expect(record[5]?.entry).toMatchObject({ seq: 5, prev: record[4]?.hash });
  });

  it.each([
    ['an entry removed', without(3), 'out-of-order Line 4'],
    ['the first removed', without(0), 'out-of-order Line 1'],
    ['an entry twice', [...record.slice(0, 3), ...record.slice(2)], 'out-of-order Line 4'],
    ['two swapped', [0, 2, 1, 3, 4, 5].flatMap((at) => record[at] ?? []), 'out-of-order Line 2'],
  ])('shows %s', (_, sealed, wanted) => {
    expect(read(sealed)).toBe(wanted);
  });

  it('shows an entry sealed anew in the middle, by the one that follows', async () => {
    const other = await sealNext(record.slice(0, 3), entryFields('step.done', { step: 'other' }));
    expect(read([...record.slice(0, 3), other, ...record.slice(4)])).toBe('broken-chain Line 5');
  });

  it.each([
    ['another job', { job: '019ac0de-7000-7abc-8def-0123456789ac' }, 'other-job'],
    ['another program', { app: '0.2.0' }, 'changed-program'],
    ['other rules', { rules: 'cd'.repeat(32) }, 'changed-program'],
  ])('takes no entry of %s', async (_, more, wanted) => {
    const next = await sealNext(record.slice(0, 3), entryFields('step.done', {}, more));
    const checked = checkedNext(record[2] ?? null, next);
    expect(checked).toMatchObject({ ok: false, flaw: { code: wanted } });
  });

  it('is opened once, and first', async () => {
    const again = await sealNext(record.slice(0, 3), entryFields('job.opened'));
    const first = await sealNext([], entryFields('step.done'));
    expect(checkedNext(record[2] ?? null, again).ok).toBe(false);
    expect(checkedNext(null, first).ok).toBe(false);
  });

  it('must end with a line feed', () => {
    const bytes = recordBytes(record);
    const cut = readRecord(bytes.subarray(0, bytes.length - 1), nodePrimitives);
    expect(cut).toMatchObject({ ok: false, flaw: { code: 'bad-encoding' } });
  });
});

describe('the manifest of a job', () => {
  it('counts, and names the head, every key and every photo once', async () => {
    const sealed = record.slice(0, 2);
    const photo = 'cd'.repeat(32);
    const pinned = 'ab'.repeat(32);
    const body = {
      step: 'wires',
      result: { photos: [photo], connectors: [{ id: 'w1', pin: { photo: pinned, x: 5, y: 6 } }] },
    };
    sealed.push(await sealNext(sealed, entryFields('step.done', body), tomasKey));
    sealed.push(await sealNext(sealed, entryFields('step.done', body)));
    expect(manifestOf(sealed, maraKey.key)).toEqual({
      entries: 4,
      head: sealed[3]?.hash,
      keys: [maraKey.key, tomasKey.key].sort(),
      photos: [pinned, photo],
    });
    expect(manifestOf([], maraKey.key)).toBeNull();
  });

  it('finds photos wherever a body names them', () => {
    const body = {
      a: [{ photo: 'one' }],
      photos: ['two', 'three'],
      text: 'four',
      photoless: 'five',
    };
    expect(photosNamed(body)).toEqual(['one', 'two', 'three']);
  });
});

it('knows exactly the types that the engine makes', () => {
  expect([...ENTRY_TYPES].sort()).toEqual([...EVENT_TYPES].sort());
});
