import { boundsOf } from '../../src/lib/core/prove/bounds.ts';
import { Walk } from '../../src/lib/core/prove/symbolic/walk.ts';
import { namesOf } from '../../src/lib/core/prove/symbolic/names.ts';
import { Refinement } from '../../src/lib/core/prove/symbolic/refine.ts';
import { allowed } from '../../src/lib/core/prove/symbolic/relation.ts';
import { checklistOf, checklistText } from './checklist-texts.ts';
const [name, people] = process.argv.slice(2);
const checklist = checklistOf(checklistText(`${name}.yaml`, 'shipped'));
const walk = new Walk(checklist, boundsOf(checklist, Number(people), 2));
walk.run();
const names = namesOf(walk.of);
const { d, of, moves } = walk;
const refinement = new Refinement(d, of, moves);
const steps = of.plan.steps;
const seen = new Set<string>();
for (const move of moves.list) {
  for (const { says, never } of refinement.duties(move)) {
    walk.slices.forEach((slice, at) => {
      if (seen.has(says)) return;
      const may = allowed(d, slice, move.guards);
      const bad = d.and(may, never);
      if (bad === 0) return;
      seen.add(says);
      const ex = d.example(bad, of.count)!;
      const on = names.filter((n, p) => ex[p] === 1);
      const settled = steps.filter((s) => on.includes(`${s.id} settled`)).map((s) => s.index);
      const first = settled.findIndex((s, i) => s !== i);
      console.log('==', says, 'slice', at, steps[at]?.id, 'count', d.countOf(bad, of.count));
      console.log('   settled to', first < 0 ? 'all' : first, 'then', settled.slice(first).map((s) => steps[s]!.id).join(' '));
      console.log('   other', on.filter((n) => !n.endsWith(' settled') && !n.endsWith(' fresh')).join(', '));
      console.log('   fresh', on.filter((n) => n.endsWith(' fresh')).map((n) => n.replace(' fresh', '')).join(' '));
    });
  }
}
