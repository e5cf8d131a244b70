import { beforeEach, expect, test } from 'vitest';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { webPrimitives } from '#lib/crypto/web.ts';
import type { Device } from '#lib/device/device.ts';
import { forkIn } from '#lib/device/pen.ts';
import { must } from '../../support/fresh-store.ts';
import { FIRST_STEPS, freshDevice, ODE_JOINS, openedJob } from '../../support/lamp-job.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';

let first: Device;
let session: JobSession;
beforeEach(async () => {
  first = await freshDevice();
  session = await openedJob(first);
  for (const order of FIRST_STEPS) await session.submit(order);
});

const PARK = {
  command: 'park',
  as: 'shut',
  told: 'the keeper of the workshop',
  owner: 'dispatch',
  until: '2099-01-04',
  left: [],
  lock: '9',
} as const;

async function parkedFile(): Promise<Blob> {
  expect((await session.submit(PARK)).refusals).toEqual([]);
  return must(await first.exportFolder(session.job)).blob;
}

test('a parked job goes on at another device, and one bag tells both visits and verifies', async () => {
  const file = await parkedFile();
  await session.passPen(true);
  expect(await session.submit({ command: 'resume' })).toMatchObject({
    accepted: false,
    trouble: { code: 'pen-passed' },
  });
  session.close();

  const second = await freshDevice();
  expect(must(await second.takeUp(file))).toMatchObject({ kind: 'new', job: session.job });
  expect(must(await second.takeUp(file))).toMatchObject({ kind: 'same' });
  const again = must(await second.openJob(session.job));
  expect(again.view.status).toBe('parkedShut');
  expect(again.disclosedAs('site')).toContain('Tannery');
  expect(again.disclosedAs('told')).toBe(PARK.told);
  // Mara's key stayed on the first device: only Ode signs here.
  expect(await again.submit(ODE_JOINS, { by: 'ode' })).toMatchObject({ accepted: true });
  expect(await again.submit({ command: 'resume' }, { by: 'ode' })).toMatchObject({
    accepted: true,
  });
  // Nothing is assumed: the proof of the first visit is gone.
  expect(again.view.sources[0]?.state).not.toBe('dead');
  again.close();

  const bag = must(await second.exportJob(session.job, { by: 'ode' }));
  const bytes = new Uint8Array(await bag.blob.arrayBuffer());
  const report = await verifyBag(bytes, null, webPrimitives);
  const failed = report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id);
  /* The job is not closed yet: its end is not proven, and nothing else is wrong. */
  expect(failed).toEqual(['record.end']);
});

test('a changed file is not taken up, and what two devices wrote at once is kept beside the record', async () => {
  const short = must(await first.exportFolder(session.job)).blob;
  const long = await parkedFile();
  session.close();
  const bytes = new Uint8Array(await long.arrayBuffer());
  const at = new TextDecoder('latin1').decode(bytes).indexOf('"sig":"') + 12;
  bytes[at] = bytes[at] === 65 ? 66 : 65;
  expect(await first.takeUp(new Blob([bytes]))).toMatchObject({
    trouble: { code: 'not-a-record' },
  });

  const second = await freshDevice();
  must(await second.takeUp(short));
  const there = must(await second.openJob(session.job));
  const joined = await there.submit(ODE_JOINS, { by: 'ode' });
  expect(joined).toMatchObject({ accepted: true });
  there.close();
  const count = there.entries.length;
  expect(must(await second.takeUp(long))).toMatchObject({ kind: 'forked', at: 4 });
  const fork = must(await forkIn(second.store, session.job));
  expect(fork).toMatchObject({ at: 4 });
  expect(must(await second.store.readJob(session.job)).row.count).toBe(count);
});
