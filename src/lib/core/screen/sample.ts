/** A random sample that anybody can draw again: the order follows from a seed that is on record. */
import { hex, utf8 } from '../record/bytes.ts';
import type { Primitives } from '../record/primitives.ts';

/** Share of the jobs that a person looks at whole, whatever the rules say. */
export const SAMPLE_SHARE = 0.05;

/**
 * The jobs whose SHA-256 of seed, a colon and name is smallest, as many as the share rounded up.
 * @param seed text that nobody could choose; kept with the sample
 * @returns in the order in which they are drawn; the same for the same set, whatever its order
 */
export function drawn(
  jobs: readonly string[],
  seed: string,
  primitives: Pick<Primitives, 'sha256'>,
  share = SAMPLE_SHARE,
): readonly string[] {
  const ranked = [...new Set(jobs)].map((job) => ({
    job,
    rank: hex(primitives.sha256(utf8(`${seed}:${job}`))),
  }));
  const order = ranked.toSorted((a, b) => (a.rank < b.rank ? -1 : 1));
  return order.slice(0, Math.ceil(order.length * share)).map(({ job }) => job);
}
