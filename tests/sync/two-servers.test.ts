import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { fsck } from '#lib/server/fsck/fsck.ts';
import type { BatchAnswer } from '#lib/server/ingest/answer.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import { aJob, linesOf } from '../support/a-job.ts';
import { maraKey } from '../support/a-record.ts';
import { startIngest } from '../support/ingest-process.ts';
import { emptyPlace } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

describe('two processes on one PostgreSQL', () => {
  let place: EmptyPlace;
  let device: string;

  beforeAll(async () => {
    place = await emptyPlace('postgres');
    const server = await startCollecting(place);
    ({ device } = await enrolCrew(server, { mara: maraKey }));
    await server.close();
  });
  afterAll(() => place.remove());

  test(
    'that take the same batches at once make one tree without gaps',
    { timeout: 120_000 },
    async () => {
      const [one, other] = await Promise.all([
        startIngest(place, device),
        startIngest(place, device),
      ]);
      const batches = await Promise.all(Array.from({ length: 24 }, () => aJob(20)));
      const places = await Promise.all(
        batches.map(async (batch, at) => {
          // Each batch goes to both, and half of them twice to the first.
          const answers = await Promise.all([
            one.take(linesOf(batch)),
            other.take(linesOf(batch)),
            ...(at % 2 === 0 ? [one.take(linesOf(batch))] : []),
          ]);
          const told = answers.map(placesIn);
          for (const again of told) expect(again).toEqual(told[0]);
          const fresh = answers.filter((answer) => answer?.entries[0]?.status === 'accepted');
          expect(fresh).toHaveLength(1);
          return told[0] ?? [];
        }),
      );
      const indices = places.flat().map(([index]) => index);
      expect(indices.toSorted((a, b) => a - b)).toEqual(
        Array.from({ length: indices.length }, (_, at) => at + Math.min(...indices)),
      );
      await Promise.all([one.kill(), other.kill()]);
      const server = await startCollecting(place);
      const outside = await new OutsideCheckpoint(place.folder).read();
      const { publicKey } = server.log.key;
      const report = await fsck({ rows: server.database.rows, publicKey, outside, held: [] });
      expect(report).toMatchObject({ ok: true, entries: 480, jobs: 24 });
      await server.close();
    },
  );
});

/** Index and receipt of every entry. */
function placesIn(answer: BatchAnswer | null): [number, string][] {
  if (answer === null) throw new Error('A server died.');
  return answer.entries.map((entry) => {
    if (entry.status === 'rejected') throw new Error(entry.says);
    return [entry.index, entry.receipt];
  });
}
