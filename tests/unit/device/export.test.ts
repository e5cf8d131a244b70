import { beforeEach, expect, test } from 'vitest';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import type { BagReport } from '#lib/core/bag/summary.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import { startDemonstration } from '#lib/device/demo.ts';
import type { Device } from '#lib/device/device.ts';
import { readRecordFile } from '#lib/device/import.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import { done } from '#lib/device/trouble.ts';
import { must, opaque } from '../../support/fresh-store.ts';
import {
  FIRST_STEPS,
  LAMP,
  LATER_STEPS,
  OPEN,
  PHOTO,
  enrolledDevice,
  freshDevice,
  openedJob,
} from '../../support/lamp-job.ts';

let device: Device;
let session: JobSession;
beforeEach(async () => {
  device = await freshDevice();
  session = await openedJob(device);
  for (const order of [...FIRST_STEPS, ...LATER_STEPS]) {
    const submitted = await session.submit(order, { photos: [PHOTO] });
    if (!submitted.accepted) throw new Error(JSON.stringify(submitted));
  }
  session.close();
});

async function report(blob: Blob): Promise<BagReport> {
  return verifyBag(new Uint8Array(await blob.arrayBuffer()), null, webPrimitives);
}

const failures = ({ checks }: BagReport) => checks.filter(({ status }) => status === 'failed');

test('a whole job leaves the device as a bag in which every check that can be made holds', async () => {
  const bag = must(await device.exportJob(session.job, { by: 'mara' }));
  expect(bag.name).toMatch(new RegExp(`^${session.job}-\\d{8}\\.zip$`));
  expect(bag.without).toEqual([]);
  const { checks } = await report(bag.blob);
  expect(checks.filter(({ status }) => status === 'failed')).toEqual([]);
  // Nobody brought a list of trusted keys, and there is no server and no outside clock.
  const notRun = checks.filter(({ status }) => status === 'notRun').map(({ id }) => id);
  expect(notRun).toEqual(['keys', 'receipts', 'timestamps']);
});

test('what is withheld is not in the bag, and the bag still holds', async () => {
  const bag = must(await device.exportJob(session.job, { by: 'mara', withhold: ['site'] }));
  expect(failures(await report(bag.blob))).toEqual([]);
  const text = new TextDecoder().decode(await bag.blob.arrayBuffer());
  expect(text).not.toContain('Tannery');
  expect(text).toContain('Mara Quill');
});

test('what is erased is gone from the device, and the record says which, when and why', async () => {
  const opened = must(await device.openJob(session.job));
  const site = opened.disclosed.find(({ name }) => name === 'site');
  expect(await opened.erase([site?.digest ?? '', PHOTO.sha256], 'the tenant asked')).toBeNull();
  expect(opened.disclosedAs('site')).toBeNull();
  opened.close();
  expect((await device.readPhoto(PHOTO.sha256)).ok).toBe(false);
  const chunks = must(
    await device.store.connection.read(['chunks'], async (tx) =>
      done(await tx.objectStore('chunks').count()),
    ),
  );
  expect(chunks).toBe(0);
  const bag = must(await device.exportJob(session.job, { by: 'mara' }));
  // It was erased, which is another thing than withheld.
  expect(bag.without).toEqual([]);
  const found = await report(bag.blob);
  expect(failures(found)).toEqual([]);
  const codes = found.findings.map(({ code }) => code);
  expect(codes).toEqual(expect.arrayContaining(['erased', 'photo-erased']));
  const text = new TextDecoder().decode(await bag.blob.arrayBuffer());
  expect(text).not.toContain('Tannery');
  expect(text).toContain('the tenant asked');
});

test('what is erased long after, on another run of the clock, has the clock noted before it', async () => {
  const opened = must(await (await enrolledDevice()).openJob(session.job));
  expect(await opened.erase([PHOTO.sha256], 'the tenant asked')).toBeNull();
  expect(opened.entries.slice(-2).map(({ event }) => event.type)).toEqual([
    'clock.noted',
    'disclosure.erased',
  ]);
  opened.close();
  const bag = must(await device.exportJob(session.job, { by: 'mara' }));
  expect(failures(await report(bag.blob))).toEqual([]);
});

test('a photo that is gone is left out and said, and the rest holds', async () => {
  must(
    await device.store.connection.write(['chunks'], async (tx) => {
      await tx.objectStore('chunks').clear();
      return done(undefined);
    }),
  );
  const bag = must(await device.exportJob(session.job, { by: 'mara' }));
  expect(bag.without).toEqual([PHOTO.sha256]);
  expect(failures(await report(bag.blob))).toEqual([]);
});

test('a bag and a record folder are read back for reading, the same job with the same photo', async () => {
  const bag = must(await device.exportJob(session.job, { by: 'mara' }));
  const folder = must(await device.exportFolder(session.job));
  for (const { blob } of [bag, folder]) {
    const read = must(await readRecordFile(blob));
    expect(read.folder.job).toBe(session.job);
    expect(read.state).toEqual(session.state);
    expect(read.folder.sealed).toEqual(session.entries.map(({ sealed }) => sealed));
    expect(await read.photo(PHOTO.sha256)).toEqual(PHOTO.bytes);
    expect(await read.photo('0'.repeat(64))).toBeNull();
  }
  expect(must(await device.listJobs())).toHaveLength(1);
});

test.each([
  ['nothing', new Blob([])],
  ['a text', new Blob(['The range would not lock its door. '.repeat(40)])],
])('%s is a sentence and no record', async (_, file) => {
  expect(await readRecordFile(file)).toMatchObject({ trouble: { code: 'not-a-record' } });
});

test('a cut or changed export is a sentence, wherever it is cut', async () => {
  const { blob } = must(await device.exportFolder(session.job));
  for (const part of [0.1, 0.5, 0.9, 0.999]) {
    const cut = await readRecordFile(blob.slice(0, Math.floor(blob.size * part)));
    expect(cut).toMatchObject({ trouble: { code: 'not-a-record' } });
  }
  const bytes = new Uint8Array(await blob.arrayBuffer());
  const at = new TextDecoder('latin1').decode(bytes).indexOf('"entry"');
  bytes[at + 40] = (bytes[at + 40] ?? 0) ^ 1;
  expect(await readRecordFile(new Blob([bytes]))).toMatchObject({
    trouble: { code: 'not-a-record' },
  });
});

test('a damaged record is not made into a bag, and leaves the device as it is stored', async () => {
  must(
    await device.store.connection.write(['entries'], async (tx) => {
      await tx.objectStore('entries').put(opaque('not a line').buffer, [session.job, 2]);
      return done(undefined);
    }),
  );
  const refused = await device.exportJob(session.job, { by: 'mara' });
  expect(refused).toMatchObject({ trouble: { code: 'damaged' } });
  const raw = must(await device.exportRaw(session.job));
  const text = new TextDecoder().decode(await raw.blob.arrayBuffer());
  expect(text).toContain('lines/000002');
  expect(text).toContain('not a line');
  for (const { sealed } of session.entries.filter((_, at) => at !== 2)) {
    expect(text).toContain(new TextDecoder().decode(sealed.line));
  }
});

test('a demonstration is one for ever, on the device and in the bag', async () => {
  const started = await startDemonstration(device, LAMP);
  if (!started.ok) throw new Error(JSON.stringify(started));
  started.session.close();
  const { job } = started.session;
  expect(started.session.view.demo).toBe(true);
  expect(must(await device.listJobs())[0]).toMatchObject({ job, demo: true });
  expect(must(await device.listJobs())[0]?.site).toContain('demonstration');
  const bag = must(await device.exportJob(job, { by: 'demo-ines' }));
  const read = must(await readRecordFile(bag.blob));
  expect(read.folder.demonstration).toBe(true);
  expect(OPEN.demo).toBeUndefined();
});
