import { writeFileSync } from 'node:fs';
import { namesOf } from '../../src/lib/core/prove/symbolic/names.ts';
import { boundsOf } from '../../src/lib/core/prove/bounds.ts';
import { Walk } from '../../src/lib/core/prove/symbolic/walk.ts';
import { checklistOf, checklistText } from './checklist-texts.ts';
const [name, people, secs = '200', verbose = ''] = process.argv.slice(2);
const checklist = checklistOf(checklistText(`${name}.yaml`, 'shipped'));
const c0 = process.cpuUsage().user;
const cpu = () => ((process.cpuUsage().user - c0) / 1e6).toFixed(1);
const walk = new Walk(checklist, boundsOf(checklist, Number(people), 2));
let last = 0;
let siftAt = Number(process.env['SIFT'] ?? 0);
console.log(name, people, 'vars', walk.of.count, 'moves', walk.moves.list.length, 'slices', walk.of.plan.steps.length, 'made', cpu());
const done = walk.run((nodes, at) => {
  const now = Number(cpu());
  if (verbose) console.log('slice', at, 'took', (now - last).toFixed(2), 'nodes', nodes, 'size', walk.d.sizeOf(walk.slices[at]!), 'bundles', "");
  if (siftAt > 0 && walk.d.count > siftAt) {
    const w = walk as any;
    walk.moves.from.forget();
    
    const roots = [...w.slices, ...w.waiting, ...w.places, ...w.roots()];
    walk.d.collect(roots);
    const before = walk.d.count;
    if (before > siftAt / 2) {
    walk.d.sift(roots);
    console.log('sifted', before, '->', walk.d.count, 'cpu', (Number(cpu()) - now).toFixed(1));
    if (process.env['OUT']) {
      const names = namesOf(walk.of);
      const order = names.map((_, place) => place).sort((a, b) => walk.d.levelOf(a * 2) - walk.d.levelOf(b * 2));
      writeFileSync(process.env['OUT'], JSON.stringify(order.map((place) => names[place]), null, 1));
    }
    }
    siftAt = Math.max(siftAt, walk.d.count * 2.5);
  }
  last = Number(cpu());
  return now < Number(secs);
});
console.log(name, people, done ? 'complete' : 'CUT', walk.states, 'rounds', walk.rounds, 'cpu', cpu(), 'rss', (process.memoryUsage().rss / 1e6).toFixed(0));
if (done) {
const { unshownOf } = await import('../../src/lib/core/prove/symbolic/index.ts');
const { deadEnds } = await import('../../src/lib/core/prove/symbolic/ways-back.ts');
const { bindingGates } = await import('../../src/lib/core/prove/symbolic/idle.ts');
console.log('unshown', unshownOf(walk), cpu());
console.log('dead', deadEnds(walk, boundsOf(checklist, Number(people), 2), () => Number(cpu()) < 300)?.length, cpu());
console.log('binding', bindingGates(walk).size, cpu(), (process.memoryUsage().rss / 1e6).toFixed(0));
}
