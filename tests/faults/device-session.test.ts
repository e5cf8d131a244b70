// A short job on failing storage, one run for every storage operation and every way to fail: what the
// session showed is what the next page load reads, and never less than what it had called accepted.
import { expect, test } from 'vitest';
import type { JobSession } from '#lib/device/session.svelte.ts';
import { withFailure } from '../support/failing-storage.ts';
import type { Failure } from '../support/failing-storage.ts';
import { must } from '../support/fresh-store.ts';
import { FIRST_STEPS, PHOTO, enrolledDevice, freshDevice, openedJob } from '../support/lamp-job.ts';

const [count, unplug] = FIRST_STEPS;
if (count?.command !== 'do' || unplug === undefined) throw new Error('no steps');
const TAPS = [
  { order: { ...count, result: { ...count.result, photos: [PHOTO.sha256] } }, photos: [PHOTO] },
  // Refused, and recorded all the same.
  { order: { command: 'do', step: 'base-off', result: {} }, photos: [] },
  { order: unplug, photos: [] },
] as const;

interface Run {
  readonly session: JobSession;
  readonly operations: number;
  /** Hashes of the record when each tap was answered without a trouble. */
  readonly acknowledged: readonly string[];
  readonly troubles: readonly string[];
}

async function run(failure: Failure, at: number): Promise<Run> {
  const session = await openedJob(await freshDevice());
  const acknowledged = session.entries.map(({ sealed }) => sealed.hash);
  const troubles: string[] = [];
  const operations = await withFailure(failure, at, async () => {
    for (const { order, photos } of TAPS) {
      const before = session.entries.length;
      const { trouble } = await session.submit(order, { photos });
      if (trouble !== undefined) {
        troubles.push(trouble.code);
        // Nothing new is on the screen that was not there before, unless another tab put it there.
        expect(session.entries.length).toBe(before);
      } else {
        expect(session.entries.length).toBeGreaterThan(before);
        acknowledged.push(...session.entries.slice(before).map(({ sealed }) => sealed.hash));
      }
    }
  });
  session.close();
  return { session, operations, acknowledged, troubles };
}

test.each<Failure>(['request', 'full', 'commit', 'unheard', 'killed'])(
  'whichever operation meets “%s”, the next page load finds what was shown',
  async (failure) => {
    const { operations } = await run('request', Infinity);
    expect(operations).toBeGreaterThan(12);
    const codes = new Set<string>();
    for (let at = 1; at <= operations; at += 1) {
      const { session, acknowledged, troubles } = await run(failure, at);
      for (const code of troubles) codes.add(code);
      const device = await enrolledDevice();
      const later = must(await device.openJob(session.job));
      later.close();
      const stored = later.entries.map(({ sealed }) => sealed.hash);
      expect(stored.slice(0, acknowledged.length)).toEqual(acknowledged);
      // Only a killed page may have stored a tap that it never showed, and only one.
      if (failure !== 'killed') expect(stored).toEqual(acknowledged);
      else expect(later.entries.length - session.entries.length).toBeLessThanOrEqual(1);
      const photoNamed = later.entries.some(
        ({ event }) => event.type === 'step.done' && event.body.step === 'count',
      );
      expect((await device.readPhoto(PHOTO.sha256)).ok).toBe(photoNamed);
      // And work goes on from there.
      const next = must(await device.openJob(session.job));
      expect(await next.submit({ command: 'nearMiss', what: 'work goes on' })).toMatchObject({
        accepted: true,
      });
      next.close();
      device.close();
    }
    const expected: Record<Failure, readonly string[]> = {
      request: [],
      unheard: [],
      full: ['full', 'photo-full'],
      commit: ['full', 'photo-full'],
      killed: ['lost'],
    };
    expect([...codes].sort()).toEqual(expected[failure]);
  },
);
