/** A shock, a scare or a near miss that nobody of the office has signed for yet. */
import type { Rows } from '../database/database.ts';
import { eventsAt, placesOfType } from '../looks/entries-of-type.ts';

export interface Heard {
  readonly job: string;
  readonly seq: number;
  readonly kind: 'tingle' | 'nearMiss';
  readonly what: string;
  readonly at: number;
}

/** Of each kind, the newest of all crews are looked through. */
const MOST_HEARD = 100;

/** The newest first. */
export async function heardOf(rows: Rows, demo: boolean): Promise<Heard[]> {
  const found = [
    ...(await placesOfType(rows, 'tingle', MOST_HEARD)),
    ...(await placesOfType(rows, 'nearMiss', MOST_HEARD)),
  ].filter((one) => one.demo === demo);
  if (found.length === 0) return [];
  const signed = await rows
    .selectFrom('office_words')
    .select(['job', 'seq'])
    .where('kind', '=', 'countersign')
    .where('job', 'in', [...new Set(found.map(({ job }) => job))])
    .execute();
  const upTo = new Map<string | null, number>();
  for (const { job, seq } of signed) upTo.set(job, Math.max(seq ?? -1, upTo.get(job) ?? -1));
  // Lines are read last: only of what nobody has signed for.
  const unsigned = found.filter(({ job, seq }) => (upTo.get(job) ?? -1) < seq);
  const events = await eventsAt(rows, unsigned);
  return events
    .flatMap(({ job, seq, event }): Heard[] =>
      event.type === 'tingle' || event.type === 'nearMiss'
        ? [{ job, seq, kind: event.type, what: event.body.what, at: Date.parse(event.at) }]
        : [],
    )
    .toSorted((a, b) => b.at - a.at);
}
