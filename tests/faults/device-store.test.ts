// The method: count the storage operations of a short history, then run it again once for each of
// them with that one failing, and read the device again as the next page load would.
import { expect, test } from 'vitest';
import { BALLAST_CHUNKS, takeBallast } from '#lib/device/ballast.ts';
import { NOWHERE, placeOf } from '#lib/device/store.ts';
import type { Batch, DeviceStore } from '#lib/device/store.ts';
import { withFailure } from '../support/failing-storage.ts';
import type { Failure } from '../support/failing-storage.ts';
import {
  JOB,
  batchOf,
  freshStore,
  must,
  opaque,
  photoOf,
  reopened,
} from '../support/fresh-store.ts';

const HISTORY: readonly { readonly texts: readonly string[]; readonly photo?: number }[] = [
  { texts: ['opened', 'joined'] },
  { texts: ['photo'], photo: 3000 },
  { texts: ['done'] },
  { texts: ['lapsed', 'refused'], photo: 2000 },
  { texts: ['closed'] },
];

function batches(): Batch[] {
  let upon = NOWHERE;
  return HISTORY.map(({ texts, photo }, at) => {
    const disclosure = { job: JOB, seq: upon.count, digest: `d${at}`, disclosure: `value ${at}` };
    const photos = photo === undefined ? [] : [photoOf(photo, at + 1)];
    const batch = batchOf(upon, texts, { disclosures: [disclosure], photos });
    upon = placeOf(batch.row);
    return batch;
  });
}

/** Adds what it can, as a person does who taps once more and then gives up; the batches acknowledged. */
async function work(store: DeviceStore, acknowledged: Batch[], troubles: string[]): Promise<void> {
  for (const batch of batches()) {
    for (let tries = 0; tries < 2; tries += 1) {
      const result = await store.append(batch);
      if (result.ok) {
        acknowledged.push(batch);
        break;
      }
      troubles.push(result.trouble.code);
      if (tries === 1) return;
    }
  }
}

/** What is on the device is exactly the first n batches, whole, with n at least what was acknowledged. */
async function isWhole(acknowledged: number, upTo: number): Promise<void> {
  const store = await reopened();
  const all = batches();
  const read = await store.readJob(JOB);
  const count = read.ok ? read.value.lines.length : 0;
  const places = [0, ...all.map((batch) => batch.row.count)];
  const stored = places.indexOf(count);
  expect(stored, `${count} lines end no batch: torn`).toBeGreaterThanOrEqual(0);
  expect(stored).toBeGreaterThanOrEqual(acknowledged);
  expect(stored).toBeLessThanOrEqual(upTo);
  if (!read.ok) {
    expect(read.trouble.code).toBe('unknown-job');
    return;
  }
  const kept = all.slice(0, stored);
  expect(read.value.lines).toEqual(kept.flatMap((batch) => batch.lines));
  expect(read.value.row).toEqual(kept.at(-1)?.row);
  expect(read.value.disclosures).toEqual(kept.flatMap((batch) => batch.disclosures ?? []));
  for (const [at, batch] of all.entries()) {
    for (const photo of batch.photos ?? []) {
      const back = await store.readPhoto(photo.sha256);
      if (at < stored) expect(must(back).bytes).toEqual(photo.bytes);
      else expect(back).toMatchObject({ trouble: { code: 'photo-missing' } });
    }
  }
}

async function operationsInAll(): Promise<number> {
  const store = await freshStore();
  return withFailure('request', Infinity, () => work(store, [], []));
}

test.each<Failure>(['request', 'full', 'commit', 'unheard', 'killed'])(
  'whichever operation meets “%s”, nothing acknowledged is lost and nothing is torn',
  async (failure) => {
    const operations = await operationsInAll();
    expect(operations).toBeGreaterThan(30);
    let disturbed = 0;
    for (let at = 1; at <= operations; at += 1) {
      const store = await freshStore();
      const acknowledged: Batch[] = [];
      const troubles: string[] = [];
      await withFailure(failure, at, () => work(store, acknowledged, troubles));
      const all = HISTORY.length;
      // Only a page that was killed may have stored what it never heard of: the one batch under way.
      await isWhole(acknowledged.length, acknowledged.length + (failure === 'killed' ? 1 : 0));
      if (troubles.length > 0 || acknowledged.length < all) disturbed += 1;
      // One failing request or one unheard commit is healed by opening the store again.
      if (failure === 'request' || failure === 'unheard') {
        expect(troubles).toEqual([]);
        expect(acknowledged).toHaveLength(all);
      }
    }
    if (failure === 'full' || failure === 'killed') expect(disturbed).toBe(operations);
  },
);

test('on a full disk the ballast goes, and entries go on where photos no longer do', async () => {
  const store = await freshStore();
  must(await takeBallast(store.connection));
  const [first, withPhoto] = batches();
  if (first === undefined || withPhoto === undefined) throw new Error('no history');
  must(await store.append(first));
  let freed = 0;
  store.onBallastGiven = (bytes) => (freed = bytes);

  // Room is only what the ballast leaves: every add fails while it is there.
  await withFullUntilBallastGone(async () => {
    const refused = await store.append(withPhoto);
    expect(refused).toMatchObject({ ok: false, trouble: { code: 'photo-full' } });
    expect(freed).toBe(0);
    must(await store.append(batchOf(placeOf(first.row), ['without a photo'])));
    expect(freed).toBe(BALLAST_CHUNKS * 1024 * 1024);
  });
  const lines = must(await (await reopened()).readJob(JOB)).lines;
  expect(lines).toEqual(['opened', 'joined', 'without a photo'].map(opaque));
});

/** The stand-in for a disk on which the ballast takes the last room. */
async function withFullUntilBallastGone(work: () => Promise<void>): Promise<void> {
  const { IDBObjectStore: Store } = globalThis;
  const { add, clear } = Store.prototype;
  let full = true;
  Store.prototype.add = function (this: IDBObjectStore, ...args) {
    if (full) throw new DOMException('the disk is full', 'QuotaExceededError');
    return add.apply(this, args);
  };
  Store.prototype.clear = function (this: IDBObjectStore) {
    full = false;
    return clear.call(this);
  };
  try {
    await work();
  } finally {
    Object.assign(Store.prototype, { add, clear });
  }
}
