/**
 * Which branches of the gates no unit test takes: a condition that is never met with yes, or never with no, a
 * case that is never come to. Parts of a condition count one by one.
 *
 *     npm run coverage [-- EXPRESSION FOR THE FILES]
 *
 * Ends with 1 when one is left for which no reason stands in `argued.ts`. A value that stands in for a missing
 * one (`?? 0`), which the types ask for and no plan leads to, is no branch of a gate and is not counted.
 */
import { parseArgs } from 'node:util';
import { reasonFor } from './argued.ts';
import { allPlaces, Bench, SOURCES } from './bench.ts';

const GATES = String.raw`job/(?:interlocks|gates|lapses|energy|exits|wanted|block)`;

const { positionals } = parseArgs({ allowPositionals: true });
const wanted = new RegExp(positionals[0] ?? GATES, 'u');
const { places, texts } = allPlaces();
const bench = new Bench(texts);
await bench.rehearse();

let open = 0;
for (const file of SOURCES.filter((each) => wanted.test(each))) {
  const branches = [...places.entries()].filter(
    ([, place]) => place.file === file && place.kind !== 'round' && place.kind !== 'bound',
  );
  const missed = branches.filter(([number]) => !bench.seen(number));
  const taken = branches.length - missed.length;
  process.stdout.write(`${file}: ${taken} of ${branches.length} branches\n`);
  for (const [, place] of missed) {
    /* The change to yes is seen where the condition is no, and the other way round. */
    const never = { yes: 'never no', no: 'never yes', case: 'never come to', rule: 'never asked' };
    const why = reasonFor(place);
    if (why === undefined) open += 1;
    const what = never[place.kind as keyof typeof never];
    process.stdout.write(`  line ${place.line}, ${place.name}: ${what}${why ? `; ${why}` : ''}\n`);
  }
}
process.exitCode = open > 0 ? 1 : 0;
