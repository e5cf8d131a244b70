/**
 * How many states shipped checklists have: their names and the number of people in, a table by name out. In a process of
 * its own because a walk runs several times slower where every import is watched.
 */
import { boundsOf } from '../../src/lib/core/prove/bounds.ts';
import { Walk } from '../../src/lib/core/prove/symbolic/walk.ts';
import { checklistOf, checklistText } from './checklist-texts.ts';

const [people, ...names] = process.argv.slice(2);
const counts = names.map((name) => {
  const checklist = checklistOf(checklistText(`${name}.yaml`, 'shipped'));
  const walk = new Walk(checklist, boundsOf(checklist, Number(people), 2));
  return [name, walk.run() ? walk.states : null] as const;
});
process.stdout.write(JSON.stringify(Object.fromEntries(counts)));
