/**
 * Looks for a better order of the variables of a shipped checklist, for `src/lib/core/prove/symbolic/orders.json`:
 *
 *     node src/setup/run-ts.mjs tests/support/find-order.ts NAME [moves]
 *
 * Walks the list with two people, moves each variable to where the sets (with `moves`: what the moves do as well) are
 * smallest, until that helps no more, and prints the names in their order. Walk the list under it before it is kept:
 * what is small in the end can be large on the way, or while the moves are made.
 */
import { boundsOf } from '../../src/lib/core/prove/bounds.ts';
import { namesOf } from '../../src/lib/core/prove/symbolic/names.ts';
import { Walk } from '../../src/lib/core/prove/symbolic/walk.ts';
import { checklistOf, checklistText } from './checklist-texts.ts';

const MOST_TURNS = 6;
/** A turn that saves less is the last. */
const WORTH = 0.99;

const [name = '', and] = process.argv.slice(2);
const checklist = checklistOf(checklistText(`${name}.yaml`, 'shipped'));
const walk = new Walk(checklist, boundsOf(checklist, 2, 2));
const { d, of, slices } = walk;
walk.run();
const roots = slices.flatMap((slice) => (and === 'moves' ? [...slice.roots()] : [slice.states]));
const kept = roots.filter((each) => each > 1);

d.collect(kept);
let size = d.count;
for (let turn = 0; turn < MOST_TURNS; turn++) {
  const smaller = d.sift(kept);
  process.stderr.write(`  ${size} nodes, then ${smaller}\n`);
  const isWorth = smaller < size * WORTH;
  size = smaller;
  if (!isWorth) break;
}

const level = (place: number) => d.levelOf(place * 2);
const names = [...namesOf(of).entries()].sort(([a], [b]) => level(a) - level(b));
process.stdout.write(`${JSON.stringify({ [checklist.id]: names.map(([, each]) => each) })}\n`);
