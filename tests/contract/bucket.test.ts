import { createHash } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { uuidV7 } from '#lib/core/record/index.ts';
import { PhotoShelf } from '#lib/server/files/photo-shelf.ts';
import type { PlaceTrouble } from '#lib/server/files/photo-place.ts';
import { S3Place } from '#lib/server/files/s3-place.ts';
import { readSettings } from '#lib/server/settings.ts';
import { startBucket } from '../support/a-bucket.ts';
import type { Bucket } from '../support/a-bucket.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import type { CollectingServer } from '../support/a-collecting-server.ts';
import { entryFields, maraKey, sealNext } from '../support/a-record.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const picture = new Uint8Array(900).fill(7);
picture.set([0xff, 0xd8, 0xff, 0xe0]);
const name = createHash('sha256').update(picture).digest('hex');

describe('a bucket that goes away', () => {
  let place: EmptyPlace;
  let server: CollectingServer;
  let bucket: Bucket;
  const troubles: PlaceTrouble[] = [];

  beforeAll(async () => {
    place = await emptyPlace('sqlite');
    server = await startCollecting(place);
    bucket = await startBucket();
    const { device } = await enrolCrew(server, { mara: maraKey });
    const job = uuidV7(Date.UTC(2026, 10, 25, 15), new Uint8Array(10));
    const opened = await sealNext([], entryFields('job.opened', {}, { job }));
    const fields = entryFields('step.done', { step: 'a', result: { photos: [name] } }, { job });
    const done = await sealNext([opened], fields);
    await server.ingest.take([opened.line, done.line], device);
  });
  afterAll(async () => {
    await server.close();
    await bucket.stop();
    await place.remove();
  });

  test('keeps the photo waiting, and gets it as soon as it is asked for again', async () => {
    const { rows } = server.database;
    const shelf = new PhotoShelf(rows, bucket.place, (trouble) => troubles.push(trouble));
    const part = { sha256: name, size: picture.length, start: 0, bytes: picture };
    await bucket.pause();
    expect(await shelf.add(part, 1)).toMatchObject({ status: 503, code: 'photos-away' });
    expect(troubles[0]?.message).toContain('does not answer');
    expect(await shelf.look(name)).toBeNull();
    // Nothing has to be sent again: all of it is here.
    expect(await shelf.state(name)).toMatchObject({ status: 503 });
    await bucket.start();
    expect(await shelf.state(name)).toMatchObject({ value: { complete: true } });
    expect(await rows.selectFrom('photo_parts').select('start').execute()).toEqual([]);
    expect(await shelf.look(name)).toEqual({ size: picture.length, type: 'image/jpeg' });
    expect(Buffer.concat(await Array.fromAsync(shelf.read(name)))).toEqual(Buffer.from(picture));
  }, 30_000);

  test('a photo that was complete before the bucket was set is read from the database', async () => {
    const { rows } = server.database;
    const other = new PhotoShelf(rows, null);
    await rows.deleteFrom('photos').execute();
    await other.add({ sha256: name, size: picture.length, start: 0, bytes: picture }, 1);
    const shelf = new PhotoShelf(rows, bucket.place);
    expect(await shelf.look(name)).toEqual({ size: picture.length, type: 'image/jpeg' });
    expect(await Array.fromAsync(shelf.read(name))).toHaveLength(1);
  });

  test('a wrong key is told at the start, in a sentence', async () => {
    const wrong = new S3Place({ ...bucket.settings, secretAccessKey: 'wrong' });
    await expect(wrong.check()).rejects.toThrow(/HTTP 403.*Are the key and the region right/);
    await expect(bucket.place.check()).resolves.toBeUndefined();
  });
});

test('the settings of a bucket are read whole or refused', () => {
  const env = { STILLWIRE_PHOTOS: 'https://s3.example/photos/', AWS_ACCESS_KEY_ID: 'a' };
  expect(readSettings(env)).toEqual({
    ok: false,
    problems: ['STILLWIRE_PHOTOS is set, and AWS_SECRET_ACCESS_KEY is missing.'],
  });
  expect(readSettings({ ...env, AWS_SECRET_ACCESS_KEY: 'b' })).toMatchObject({
    settings: { photos: { address: 'https://s3.example/photos', region: 'us-east-1' } },
  });
  const ftp = { ...env, STILLWIRE_PHOTOS: 'ftp://x', AWS_SECRET_ACCESS_KEY: 'b' };
  expect(readSettings(ftp)).toMatchObject({ ok: false });
});
