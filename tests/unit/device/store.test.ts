import { beforeEach, expect, test } from 'vitest';
import { NOWHERE, placeOf } from '#lib/device/store.ts';
import type { DeviceStore } from '#lib/device/store.ts';
import { CHUNK_BYTES } from '#lib/device/schema.ts';
import {
  JOB,
  OTHER_JOB,
  batchOf,
  freshStore,
  grown,
  must,
  opaque,
  photoOf,
  reopened,
} from '../../support/fresh-store.ts';

let store: DeviceStore;
beforeEach(async () => {
  store = await freshStore();
});

async function textsOf(which: DeviceStore, job = JOB): Promise<string[]> {
  return must(await which.readJob(job)).lines.map((line) => new TextDecoder().decode(line));
}

test('lines come back byte for byte, in order, on the next page load', async () => {
  const end = await grown(store, [['a'], ['b', 'c'], ['d — ü']]);
  const later = await reopened();
  expect(await textsOf(later)).toEqual(['a', 'b', 'c', 'd — ü']);
  expect(must(await later.headOf(JOB))).toEqual(end);
  expect(end.count).toBe(4);
});

test('jobs keep apart and are listed newest first', async () => {
  await grown(store, [['one']]);
  await grown(store, [['two'], ['three']], OTHER_JOB);
  expect(await textsOf(store)).toEqual(['one']);
  expect(must(await store.listJobs()).map((row) => [row.job, row.count])).toEqual([
    [OTHER_JOB, 2],
    [JOB, 1],
  ]);
});

test('a batch upon an old head is refused and leaves no trace', async () => {
  const first = await grown(store, [['a']]);
  const mine = batchOf(first, ['mine'], { photos: [photoOf(1000)] });
  must(await store.append(batchOf(first, ['theirs'])));
  const refused = await store.append(mine);
  expect(refused).toMatchObject({ ok: false, trouble: { code: 'moved' } });
  expect(await textsOf(store)).toEqual(['a', 'theirs']);
  expect(must(await store.photosMissing([photoOf(1000).sha256]))).toHaveLength(1);
});

test('the same batch again is taken as stored, and stored once', async () => {
  const batch = batchOf(NOWHERE, ['a', 'b']);
  must(await store.append(batch));
  must(await store.append(batch));
  expect(await textsOf(store)).toEqual(['a', 'b']);
});

test('two that append at once: one goes through, the other is told, nothing forks', async () => {
  const start = await grown(store, [['a']]);
  const other = await reopened();
  const results = await Promise.all([
    store.append(batchOf(start, ['left'])),
    other.append(batchOf(start, ['right'])),
  ]);
  expect(results.filter((result) => result.ok)).toHaveLength(1);
  expect(await textsOf(store)).toHaveLength(2);
});

test('an entry beyond the listed head is reported, not written over', async () => {
  const start = await grown(store, [['a']]);
  must(
    await store.connection.write(['entries'], async (tx) => {
      await tx.objectStore('entries').put(opaque('stray').buffer, [JOB, 1]);
      return { ok: true, value: undefined };
    }),
  );
  const refused = await store.append(batchOf(start, ['b']));
  expect(refused).toMatchObject({ ok: false, trouble: { code: 'damaged' } });
  expect(await textsOf(store)).toEqual(['a', 'stray']);
});

test('photos go in as pieces of at most 1 MiB and come back whole', async () => {
  const photo = photoOf(2 * CHUNK_BYTES + 17);
  must(await store.append(batchOf(NOWHERE, ['a'], { photos: [photo] })));
  const pieces = must(
    await store.connection.read(['chunks'], async (tx) => ({
      ok: true,
      value: await tx.objectStore('chunks').getAll(),
    })),
  );
  expect(pieces.map((piece) => piece.byteLength)).toEqual([CHUNK_BYTES, CHUNK_BYTES, 17]);
  expect(pieces.every((piece) => piece instanceof ArrayBuffer)).toBe(true);
  const back = must(await store.readPhoto(photo.sha256));
  expect(back.bytes).toEqual(photo.bytes);
  expect(back.row).toMatchObject({ width: 1600, height: 1200, job: JOB, chunks: 3 });
});

test('a photo that no longer reads back as taken is a sentence, not a picture', async () => {
  const photo = photoOf(5000);
  must(await store.append(batchOf(NOWHERE, ['a'], { photos: [photo] })));
  must(
    await store.connection.write(['chunks'], async (tx) => {
      await tx.objectStore('chunks').put(photoOf(5000, 2).bytes.slice().buffer, [photo.sha256, 0]);
      return { ok: true, value: undefined };
    }),
  );
  const read = await store.readPhoto(photo.sha256);
  expect(read).toMatchObject({ ok: false, trouble: { code: 'photo-missing' } });
});

test('erasing a disclosure takes it from the store and leaves the entries', async () => {
  const disclosure = { job: JOB, seq: 0, digest: 'd1', disclosure: 'WyJz…' };
  const first = batchOf(NOWHERE, ['a'], { disclosures: [disclosure] });
  must(await store.append(first));
  must(await store.append(batchOf(placeOf(first.row), ['erased'], { erased: ['d1'] })));
  const job = must(await store.readJob(JOB));
  expect(job.disclosures).toEqual([]);
  expect(job.lines).toHaveLength(2);
});

test('an unknown job, checklist or photo is a value with a sentence', async () => {
  expect(await store.readJob(OTHER_JOB)).toMatchObject({ trouble: { code: 'unknown-job' } });
  expect(await store.readChecklist('e'.repeat(64))).toMatchObject({
    trouble: { code: 'unknown-checklist' },
  });
  expect(await store.readPhoto('f'.repeat(64))).toMatchObject({
    trouble: { code: 'photo-missing' },
  });
});
