/** A job's lines read and folded to its state, beside parsing the same lines as JSON and nothing else. */
import { randomBytes } from 'node:crypto';
import { eventOf } from '#lib/core/bag/bodies.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import * as evolving from '#lib/core/job/evolve.ts';
import type { JobState } from '#lib/core/job/state.ts';
import type { Entry } from '#lib/core/record/entry.ts';
import { entryFields, maraKey } from '../support/a-record.ts';
import { emptyJob, longJob } from './long-job.ts';
import { rowOf, timed } from './paired.ts';
import type { Row } from './paired.ts';

/** Lines of the size and form of a record; links and signatures are random, since nothing here reads them. */
function linesOf(events: readonly JobEvent[]): string[] {
  return events.map(({ type, body, at, mono, boot, by }, seq) => {
    const fields = entryFields(type, JSON.parse(JSON.stringify(body)) as Entry['body'], {
      at,
      mono,
      boot,
      by,
    });
    const prev = randomBytes(32).toString('hex');
    const entry = { ...fields, key: maraKey.key, prev, seq, v: 1 };
    return JSON.stringify({ entry, sig: randomBytes(64).toString('base64url') });
  });
}

function* eventsIn(lines: readonly string[]): Generator<JobEvent> {
  for (const line of lines) yield (JSON.parse(line) as { entry: JobEvent }).entry;
}

function oneByOne(state: JobState, events: Iterable<JobEvent>): JobState {
  let next = state;
  for (const event of events) next = evolving.evolve(next, event);
  return next;
}
/** Older sources, which `--before` measures, have only the one for one event. */
const { fold = oneByOne } = evolving as Partial<typeof evolving>;

const folded = (lines: readonly string[]): JobState => fold(emptyJob(), eventsIn(lines));

export async function bench(rounds: number, counts = [2000, 100_000]): Promise<Row[]> {
  const rows: Row[] = [];
  for (const count of counts) {
    const lines = linesOf(longJob(count));
    for (const line of [...lines.slice(0, 20), ...lines.slice(-20)]) {
      const { entry } = JSON.parse(line) as { entry: Entry };
      const event = eventOf(entry);
      if (!event.ok) throw new Error(`A line holds no event. ${event.flaw.says}`);
    }
    if (folded(lines).status !== 'handedBack') throw new Error('The fold came to something else.');
    const seconds = await timed(
      [
        { name: 'fold', run: () => void folded(lines) },
        { name: 'parse', run: () => lines.forEach((line) => void JSON.parse(line)) },
      ],
      rounds,
      'processor',
    );
    const says = `a job of ${count} entries parsed and folded to its state`;
    rows.push(
      rowOf({ name: `fold ${count}`, says, units: count, unit: 'entries' }, seconds, [
        { ours: 'fold', to: 'parse', most: 1.3 },
      ]),
    );
  }
  return rows;
}
