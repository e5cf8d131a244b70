// Two tabs are two devices on one store, one lock manager and one channel: all three are those of this process.
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { Device } from '#lib/device/device.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import { claimWriter } from '#lib/device/writer.ts';
import type { WriterState } from '#lib/device/writer.ts';
import { must } from '../../support/fresh-store.ts';
import { FIRST_STEPS, enrolledDevice, freshDevice, openedJob } from '../../support/lamp-job.ts';

/** What other tabs hear of takes as long as the machine is busy; what never comes still fails. */
const soon = (holds: () => void) => vi.waitFor(holds, { timeout: 30_000, interval: 5 });

let first: JobSession;
let device: Device;
const open: JobSession[] = [];

beforeEach(async () => {
  device = await freshDevice();
  first = await openedJob(device);
  open.push(first);
});
afterEach(() => {
  for (const session of open.splice(0)) session.close();
  vi.unstubAllGlobals();
});

async function secondTab(): Promise<JobSession> {
  const session = must(await (await enrolledDevice()).openJob(first.job));
  open.push(session);
  return session;
}

const [count, unplug] = FIRST_STEPS;
if (count === undefined || unplug === undefined) throw new Error('no steps');

test('a second tab knows at once that the job is written elsewhere, and writes nothing', async () => {
  const second = await secondTab();
  expect(first.writer).toBe('writing');
  expect(second.writer).toBe('elsewhere');
  const refused = await second.submit(count);
  expect(refused).toMatchObject({ accepted: false, trouble: { code: 'elsewhere' } });
  expect(must(await device.store.headOf(first.job)).count).toBe(1);
});

test('what one tab stores is shown in the other', async () => {
  const second = await secondTab();
  await first.submit(count);
  await soon(() => expect(second.entries).toHaveLength(2));
  expect(second.state).toEqual(first.state);
});

test('a job can be taken over; the first tab says so, and the record says so', async () => {
  const second = await secondTab();
  await first.submit(count);
  await second.takeOver();
  expect(second.writer).toBe('writing');
  await soon(() => expect(first.writer).toBe('takenOver'));
  expect(await first.submit(unplug)).toMatchObject({ trouble: { code: 'elsewhere' } });

  expect(await second.submit(unplug)).toMatchObject({ accepted: true });
  const types = second.entries.map(({ event }) => event.type);
  expect(types).toContain('program.noted');
  await soon(() => expect(first.entries).toEqual(second.entries));
});

test('when the writing tab closes, the one that waits goes on by itself', async () => {
  const second = await secondTab();
  await first.submit(count);
  first.close();
  await soon(() => expect(second.writer).toBe('writing'));
  expect(second.entries).toHaveLength(2);
  expect(await second.submit(unplug)).toMatchObject({ accepted: true });
});

test('where there are no locks, the comparison of heads alone keeps the record whole', async () => {
  vi.stubGlobal('navigator', {});
  vi.stubGlobal('BroadcastChannel', undefined);
  const third = await secondTab();
  const fourth = await secondTab();
  expect([third.writer, fourth.writer]).toEqual(['writing', 'writing']);
  expect(await third.submit(count)).toMatchObject({ accepted: true });
  const refused = await fourth.submit(count);
  expect(refused).toMatchObject({ accepted: false, trouble: { code: 'moved' } });
  expect(fourth.entries).toEqual(third.entries);
  expect(await fourth.submit(unplug)).toMatchObject({ accepted: true });
});

test('the lock passes in line, and a released claim never takes it', async () => {
  const said: string[] = [];
  const heard = (name: string) => (state: WriterState) => said.push(`${name} ${state}`);
  const one = await claimWriter('line', heard('one'));
  const two = await claimWriter('line', heard('two'));
  const three = await claimWriter('line', heard('three'));
  expect([one.state, two.state, three.state]).toEqual(['writing', 'elsewhere', 'elsewhere']);
  two.release();
  one.release();
  await soon(() => expect(three.state).toBe('writing'));
  expect(said).toEqual(['one writing', 'three writing']);
  three.release();
});
