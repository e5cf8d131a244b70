import { beforeEach, expect, test } from 'vitest';
import type { Device } from '#lib/device/device.ts';
import type { Writing } from '#lib/device/connection.ts';
import { done } from '#lib/device/trouble.ts';
import { must } from '../../support/fresh-store.ts';
import { FIRST_STEPS, enrolledDevice, freshDevice, openedJob } from '../../support/lamp-job.ts';

let device: Device;
let job: string;
beforeEach(async () => {
  device = await freshDevice();
  const session = await openedJob(device);
  for (const order of FIRST_STEPS) await session.submit(order);
  session.close();
  job = session.job;
});

/** Does to the stored bytes what a failing disk or a downgraded browser may do. */
async function spoil(change: (tx: Writing) => Promise<unknown>): Promise<void> {
  must(
    await device.store.connection.write(['jobs', 'entries', 'checklists'], async (tx) => {
      await change(tx);
      return done(undefined);
    }),
  );
}

async function lineAt(seq: number): Promise<Uint8Array<ArrayBuffer>> {
  const line = must(await device.store.readJob(job)).lines[seq];
  if (line === undefined) throw new Error(`no line ${seq}`);
  return line;
}

async function expectDamaged(says: RegExp): Promise<void> {
  const before = must(await device.store.readJob(job));
  const opened = await (await enrolledDevice()).openJob(job);
  expect(opened).toMatchObject({ ok: false, trouble: { code: 'damaged' } });
  if (opened.ok) return;
  expect(opened.trouble.says).toMatch(says);
  expect(opened.trouble.says).toMatch(/nothing was changed or deleted/i);
  expect(must(await device.store.readJob(job))).toEqual(before);
}

test('one changed byte, wherever it is, is found and said, and the record is kept', async () => {
  const line = await lineAt(2);
  // Every 37th: each change costs an opening of the job, and the chain knows no favoured byte.
  for (let at = 0; at < line.length; at += 37) {
    const changed = line.slice();
    changed[at] = (changed[at] ?? 0) ^ 1;
    await spoil((tx) => tx.objectStore('entries').put(changed.buffer, [job, 2]));
    await expectDamaged(/Entry [23]:|listed/);
  }
});

test('a changed byte in the very last line is found too', async () => {
  const line = await lineAt(3);
  line[line.length - 5] = (line[line.length - 5] ?? 0) ^ 1;
  await spoil((tx) => tx.objectStore('entries').put(line.buffer, [job, 3]));
  await expectDamaged(/Entry 3|listed as last/);
});

test('a missing entry is found, in the middle and at the end', async () => {
  await spoil((tx) => tx.objectStore('entries').delete([job, 3]));
  await expectDamaged(/3 of 4 entries/);
  await spoil((tx) => tx.objectStore('entries').delete([job, 1]));
  await expectDamaged(/Entry 1/);
});

test('two entries that changed places are found', async () => {
  const [one, two] = [await lineAt(1), await lineAt(2)];
  await spoil(async (tx) => {
    await tx.objectStore('entries').put(two.buffer, [job, 1]);
    await tx.objectStore('entries').put(one.buffer, [job, 2]);
  });
  await expectDamaged(/Entry 1/);
});

test('a checklist that is not the one the record names is found; a missing one is said', async () => {
  const row = must(await device.store.readJob(job)).row;
  const kept = must(await device.store.readChecklist(row.checklist));
  const json = kept.json.replace('"revision":1', '"revision":2');
  await spoil((tx) => tx.objectStore('checklists').put({ ...kept, json }));
  await expectDamaged(/not the one that its record names/);
  await spoil((tx) => tx.objectStore('checklists').delete(kept.sha256));
  expect(await device.openJob(job)).toMatchObject({ trouble: { code: 'unknown-checklist' } });
});
