import { createHash } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { discloseAll, readLine, uuidV7 } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { jobHeads } from '#lib/server/devices/job-heads.ts';
import { keepDisclosures } from '#lib/server/files/disclosure-shelf.ts';
import { LARGEST_PART, PhotoShelf } from '#lib/server/files/photo-shelf.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { entryFields, maraKey, sealNext } from '../support/a-record.ts';
import { startBucket } from '../support/a-bucket.ts';
import type { Bucket } from '../support/a-bucket.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

/** Bytes that begin like a JPEG and are long enough for three parts. */
function aPicture(seed: number): Uint8Array {
  const bytes = new Uint8Array(2 * LARGEST_PART + 500).fill(seed);
  bytes.set([0xff, 0xd8, 0xff, 0xe0]);
  return bytes;
}

/** Each database, and each place for whole photos. */
const places = kinds.flatMap((kind) => [
  { kind, where: 'the database' as const },
  { kind, where: 'a bucket' as const },
]);

describe.each(places)('files beside the log in $kind, photos in $where', ({ kind, where }) => {
  let bucket: Bucket | null = null;
  let shelf: PhotoShelf;
  let place: EmptyPlace;
  let server: CollectingServer;
  let device: string;
  const picture = aPicture(1);
  const renamed = aPicture(2);
  const script = new TextEncoder().encode('<svg xmlns="http://www.w3.org/2000/svg"/>');
  const job = uuidV7(Date.UTC(2026, 10, 25, 15), new Uint8Array(10));
  const { disclosures, digests } = discloseAll(
    { site: '14 Larch Row', 'name.mara': 'Mara Ek' },
    () => crypto.getRandomValues(new Uint8Array(16)),
    nodePrimitives,
  );
  const send = async (lines: readonly Uint8Array[]) =>
    (await server.ingest.take(lines, device)).entries.map(({ status }) => status);
  const part = (bytes: Uint8Array, name: string, start: number) =>
    shelf.add(
      {
        sha256: name,
        size: bytes.length,
        start,
        bytes: bytes.subarray(start, start + LARGEST_PART),
      },
      server.clock.now,
    );

  beforeAll(async () => {
    place = await emptyPlace(kind);
    server = await startCollecting(place);
    bucket = where === 'a bucket' ? await startBucket() : null;
    shelf = new PhotoShelf(server.database.rows, bucket?.place ?? null);
    ({ device } = await enrolCrew(server, { mara: maraKey }));
    const opened = await sealNext([], entryFields('job.opened', {}, { job, _sd: digests }));
    const photos = [sha256(picture), 'b'.repeat(64), sha256(script)];
    const done = await sealNext(
      [opened],
      entryFields('step.done', { step: 'a', result: { photos } }, { job }),
    );
    expect(await send([opened.line, done.line])).toEqual(['accepted', 'accepted']);
  });
  afterAll(async () => {
    await server.close();
    await bucket?.stop();
    await place.remove();
  });

  test('a photo comes in parts, is taken up where it stopped, and is the same bytes', async () => {
    const name = sha256(picture);
    expect(await part(picture, name, 0)).toMatchObject({ value: { received: LARGEST_PART } });
    expect(await part(picture, name, 0)).toMatchObject({
      code: 'wrong-place',
      received: LARGEST_PART,
    });
    expect(await shelf.look(name)).toBeNull();
    await part(picture, name, LARGEST_PART);
    expect(await part(picture, name, 2 * LARGEST_PART)).toMatchObject({
      value: { complete: true },
    });
    expect(await part(picture, name, 0)).toMatchObject({ value: { complete: true } });
    expect(await shelf.look(name)).toEqual({
      size: picture.length,
      type: 'image/jpeg',
    });
    const parts = await Array.fromAsync(shelf.read(name));
    expect(sha256(Buffer.concat(parts))).toBe(name);
  });

  test('a photo that is not what its name says leaves nothing behind', async () => {
    const name = 'b'.repeat(64);
    await part(renamed, name, 0);
    await part(renamed, name, LARGEST_PART);
    expect(await part(renamed, name, 2 * LARGEST_PART)).toMatchObject({ code: 'wrong-hash' });
    expect(await Array.fromAsync(shelf.read(name))).toEqual([]);
    expect(await part(script, sha256(script), 0)).toMatchObject({ code: 'no-photo' });
  });

  test.each(['c'.repeat(64), '../../x', 'C'.repeat(64), '', 'con'])(
    'a photo that no entry names is not taken: %s',
    async (name) => {
      expect(await part(picture, name, 0)).toMatchObject({ status: 404, code: 'not-named' });
    },
  );

  test('the server says what it misses of a job', async () => {
    const [head] = await jobHeads(server.database.rows, [job, crypto.randomUUID()]);
    expect(head).toMatchObject({ job, count: 2, forked: false });
    expect([...(head?.photos ?? [])].sort()).toEqual(['b'.repeat(64), sha256(script)].sort());
  });

  test('private values are kept while an entry holds their digest, and go when it says so', async () => {
    const sent = disclosures.map(({ encoded }) => ({ seq: 0, disclosure: encoded }));
    const stranger = { seq: 0, disclosure: Buffer.from('["s","site","x"]').toString('base64url') };
    expect(await keepDisclosures(server.database, job, [...sent, stranger])).toMatchObject({
      value: { kept: 2, left: 1 },
    });
    const stored = await server.database.rows
      .selectFrom('leaves')
      .select(['line', 'seq'])
      .where('kind', '=', 'entry')
      .orderBy('seq')
      .execute();
    expect(stored).toHaveLength(2);
    const digest = disclosures[0]?.digest ?? '';
    const before = stored.map(({ line }) => {
      const read = readLine(new Uint8Array(line), nodePrimitives);
      if (!read.ok) throw new Error(read.flaw.says);
      return read.value;
    });
    const erased = await sealNext(
      before,
      entryFields('disclosure.erased', { digest, why: 'asked for' }, { job }),
    );
    expect(await send([erased.line])).toEqual(['accepted']);
    const kept = await server.database.rows.selectFrom('disclosures').select('digest').execute();
    expect(kept.map((row) => row.digest)).toEqual([disclosures[1]?.digest]);
    // Nor does it come back.
    expect(await keepDisclosures(server.database, job, sent)).toMatchObject({
      value: { kept: 1, left: 1 },
    });
  });

  test('the check of the store looks into them', async () => {
    const { rows } = server.database;
    const failed = async () => {
      const report = await fsck({
        rows,
        publicKey: null,
        outside: null,
        held: [],
        photos: bucket?.place ?? null,
      });
      return report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id);
    };
    expect(await failed()).toEqual([]);
    if (bucket === null)
      await rows
        .updateTable('photo_parts')
        .set({ bytes: new Uint8Array(500) })
        .where('start', '=', 2 * LARGEST_PART)
        .execute();
    else await bucket.put(sha256(picture), renamed);
    await rows.updateTable('disclosures').set({ encoded: 'AAAA' }).execute();
    expect(await failed()).toEqual(['photos', 'disclosures']);
  });
});
