// The second copy, against the in-process IndexedDB: two factories stand for two storage buckets.
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, test } from 'vitest';
import { Connection } from '#lib/device/connection.ts';
import { enrol } from '#lib/device/keys.ts';
import { acquaint } from '#lib/device/known-device.ts';
import { SecondCopy } from '#lib/device/second-copy.ts';
import { DeviceStore } from '#lib/device/store.ts';
import { withFailure } from '../../support/failing-storage.ts';
import {
  batchOf,
  emptyDevice,
  grown,
  JOB,
  must,
  OTHER_JOB,
  photoOf,
} from '../../support/fresh-store.ts';

let place: IDBFactory;
beforeEach(() => {
  emptyDevice();
  place = new IDBFactory();
});

async function opened() {
  const connection = must(await Connection.open());
  const copy = await SecondCopy.beside(connection, place);
  if (copy === null) throw new Error('no copy');
  return { connection, copy, store: new DeviceStore(connection) };
}

const inCopy = async () =>
  new DeviceStore(must(await Connection.open(undefined, undefined, place)));

async function jobsOf(store: DeviceStore) {
  return must(await store.listJobs()).map(({ job, count }) => [job, count]);
}

describe('the copy', () => {
  test('follows what is written, photos and all', async () => {
    const { store, copy } = await opened();
    const at = await grown(store, [['a'], ['b', 'c']]);
    const photo = photoOf(2_500_000);
    must(await store.append(batchOf(at, ['d'], { photos: [photo] })));
    await copy.settled();
    const second = await inCopy();
    expect(must(await second.readJob(JOB)).lines).toEqual(must(await store.readJob(JOB)).lines);
    expect(must(await second.readPhoto(photo.sha256)).bytes).toEqual(photo.bytes);
  });

  test('is brought up to date at opening with what was written without it', async () => {
    const without = new DeviceStore(must(await Connection.open()));
    const photo = photoOf(40_000);
    const at = await grown(without, [['a'], ['b']]);
    must(await without.append(batchOf(at, ['c'], { photos: [photo] })));
    await grown(without, [['x']], OTHER_JOB);
    await opened();
    const second = await inCopy();
    expect(await jobsOf(second)).toEqual(await jobsOf(without));
    expect((await second.readPhoto(photo.sha256)).ok).toBe(true);
  });

  test('forgets a private value that was erased in the first store, even while it was away', async () => {
    const row = { job: JOB, seq: 0, digest: 'd'.repeat(43), disclosure: 'WyJzIl0' };
    const { store, copy, connection } = await opened();
    const at = await grown(store, [['a']]);
    must(await store.append(batchOf(at, ['b'], { disclosures: [row] })));
    await copy.settled();
    expect(must(await (await inCopy()).disclosuresOf(JOB))).toEqual([row]);
    copy.close();
    const later = { count: 2, head: batchOf(at, ['b']).row.head };
    must(await store.append(batchOf(later, ['c'], { erased: [row.digest] })));
    connection.close();
    await opened();
    expect(must(await (await inCopy()).disclosuresOf(JOB))).toEqual([]);
  });

  test('is not needed: without a place for it the first store stands alone', async () => {
    const connection = must(await Connection.open());
    expect(await SecondCopy.beside(connection, undefined)).toBeNull();
  });

  test('that fails does not touch the first store, and is mended by the next write', async () => {
    const { connection, store, copy } = await opened();
    const at = await grown(store, [['a']]);
    await copy.settled();
    // The first store's own requests and commit come first; what fails after them is the copy's.
    const batch = batchOf(at, ['b']);
    const { follower } = connection;
    connection.follower = null;
    const spent = await withFailure('request', 1_000_000, async () => {
      must(await store.append(batch));
    });
    connection.follower = follower;
    await copy.settled();
    const next = batchOf({ count: 2, head: batch.row.head }, ['c']);
    const met = await withFailure('request', spent + 1, async () => {
      must(await store.append(next));
      await copy.settled();
    });
    expect(met).toBeGreaterThan(spent);
    must(await store.append(batchOf({ count: 3, head: next.row.head }, ['d'])));
    await copy.settled();
    expect(await jobsOf(await inCopy())).toEqual([[JOB, 4]]);
  });

  test('of photos is given up when the room is needed, that of entries is not', async () => {
    const { store, copy } = await opened();
    const photo = photoOf(40_000);
    const batch = batchOf({ count: 0, head: '0'.repeat(64) }, ['a'], { photos: [photo] });
    must(await store.append(batch));
    await copy.settled();
    expect(await copy.giveUpPhotos()).toBe(true);
    expect(await copy.giveUpPhotos()).toBe(false);
    must(await store.append(batchOf({ count: 1, head: batch.row.head }, ['b'])));
    await copy.settled();
    const second = await inCopy();
    expect(await jobsOf(second)).toEqual([[JOB, 2]]);
    expect(await second.readPhoto(photo.sha256)).toMatchObject({
      trouble: { code: 'photo-missing' },
    });
  });
});

describe('a first store that the browser emptied', () => {
  test('is filled again: jobs, photos, people, keys and the day of the first use', async () => {
    const { store, copy, connection } = await opened();
    must(await acquaint(connection, '2026-11-02', []));
    const mara = { id: 'mara', name: 'Mara Quill', competence: [] };
    const key = must(await enrol(connection, mara, 'mara'));
    const photo = photoOf(40_000);
    const at = await grown(store, [['a'], ['b']]);
    must(await store.append(batchOf(at, ['c'], { photos: [photo] })));
    await copy.settled();

    emptyDevice();
    const again = await opened();
    expect(again.copy.broughtBack).toEqual([JOB]);
    expect(await jobsOf(again.store)).toEqual([[JOB, 3]]);
    expect(must(await again.store.readPhoto(photo.sha256)).bytes).toEqual(photo.bytes);
    expect(must(await enrol(again.connection, mara, 'mara')).thumbprint).toBe(key.thumbprint);
    const met = must(await acquaint(again.connection, '2026-11-20', []));
    expect(met).toEqual({ kind: 'known', since: '2026-11-02' });
  });

  test('and was used since keeps both what it had and what it has', async () => {
    const { store, copy } = await opened();
    await grown(store, [['a']]);
    await copy.settled();
    emptyDevice();
    await grown(new DeviceStore(must(await Connection.open())), [['x'], ['y']], OTHER_JOB);
    const again = await opened();
    expect(again.copy.broughtBack).toEqual([JOB]);
    const both = [
      [OTHER_JOB, 2],
      [JOB, 1],
    ];
    expect(await jobsOf(again.store)).toEqual(both);
    expect(await jobsOf(await inCopy())).toEqual(both);
  });

  test('is not told of where nothing was lost', async () => {
    const { store, copy } = await opened();
    await grown(store, [['a']]);
    await copy.settled();
    expect((await opened()).copy.broughtBack).toEqual([]);
  });
});
