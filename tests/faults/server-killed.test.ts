import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openReceipt, utf8 } from '#lib/core/record/index.ts';
import type { SealedEntry } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { fsck } from '#lib/server/fsck/fsck.ts';
import type { BatchAnswer } from '#lib/server/ingest/answer.ts';
import { hashBytes } from '#lib/server/ingest/job-branches.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { enrolCrew, startCollecting } from '../support/a-collecting-server.ts';
import { aJob, linesOf } from '../support/a-job.ts';
import { maraKey } from '../support/a-record.ts';
import { startIngest } from '../support/ingest-process.ts';
import type { IngestProcess } from '../support/ingest-process.ts';
import { between, seeded } from '../support/seeded.ts';
import { emptyPlace, kinds } from '../support/test-database.ts';
import type { EmptyPlace } from '../support/test-database.ts';

const KILLS = 100;
const SEED = 20261125;

/** What was ever promised about an entry. */
interface Promised {
  readonly index: number;
  readonly receipt: string;
}

describe.each(kinds)('a server on %s that is killed', (kind) => {
  let place: EmptyPlace;
  let device: string;

  beforeAll(async () => {
    place = await emptyPlace(kind);
    const server = await startCollecting(place);
    ({ device } = await enrolCrew(server, { mara: maraKey }));
    await server.close();
  });
  afterAll(() => place.remove());

  test(
    `${KILLS} times during ingest keeps every promise that it gave`,
    { timeout: 300_000 },
    async () => {
      const random = seeded(SEED);
      const promised = new Map<string, Promised>();
      let unsent: SealedEntry[] = [];
      let answered: SealedEntry[] = [];
      let died = 0;
      let cut = 0;
      /** Sends one batch; what is not answered stays to be sent again. */
      const send = async (server: IngestProcess): Promise<boolean> => {
        if (unsent.length === 0) unsent = await aJob(between(random, 10, 60));
        const batch = unsent.slice(0, between(random, 1, 25));
        const answer = await server.take(linesOf(batch));
        if (answer === null) return false;
        keep(batch, answer, promised);
        answered = batch;
        unsent = unsent.slice(batch.length);
        return true;
      };
      while (died < KILLS) {
        const server = await startIngest(place, device);
        // What was promised before the last kill is promised again in the same words.
        const again = answered.length > 0 ? await server.take(linesOf(answered)) : null;
        if (again !== null) keep(answered, again, promised);
        const batches = between(random, 0, 2);
        for (let at = 0; at < batches; at += 1) expect(await send(server)).toBe(true);
        const sent = send(server);
        setTimeout(() => void server.kill(), random() * 12);
        if (!(await sent)) cut += 1;
        await server.gone;
        died += 1;
      }
      // Else nothing was killed in the middle of anything.
      expect(cut).toBeGreaterThan(KILLS / 4);
      const last = await startIngest(place, device);
      while (unsent.length > 0) expect(await send(last)).toBe(true);
      await last.kill();
      await expectAllKept(place, promised);
    },
  );
});

/** Holds the server to what it said before. */
function keep(
  batch: readonly SealedEntry[],
  { entries }: BatchAnswer,
  promised: Map<string, Promised>,
): void {
  for (const [at, answer] of entries.entries()) {
    if (answer.status === 'rejected') throw new Error(answer.says);
    const { hash } = batch[at] as SealedEntry;
    expect(answer.hash).toBe(hash);
    const { index, receipt } = answer;
    expect(promised.get(hash) ?? { index, receipt }).toEqual({ index, receipt });
    promised.set(hash, { index, receipt });
  }
}

async function expectAllKept(
  place: EmptyPlace,
  promised: ReadonlyMap<string, Promised>,
): Promise<void> {
  const server = await startCollecting(place);
  const { rows } = server.database;
  const report = await fsck({
    rows,
    publicKey: server.log.key.publicKey,
    outside: await new OutsideCheckpoint(place.folder).read(),
    held: [...promised.values()]
      .slice(0, 50)
      .map(({ index, receipt }) => ({ name: `receipt ${index}`, bytes: utf8(receipt) })),
  });
  expect(report.checks.filter(({ status }) => status === 'failed')).toEqual([]);
  expect(report.entries).toBe(promised.size);
  for (const [hash, { receipt }] of promised) {
    const opened = await openReceipt(
      utf8(receipt),
      hashBytes(hash),
      [server.log.noteKey],
      nodePrimitives,
    );
    expect(opened).toMatchObject({ ok: true });
  }
  await server.close();
}
