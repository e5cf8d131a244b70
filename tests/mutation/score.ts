/** The result of a run as a document. */
import { reasonFor } from './argued.ts';
import { isLeft, SOURCES, type Verdict } from './bench.ts';
import type { Kind, Place } from './places.ts';

const DONE: Readonly<Record<Kind, string>> = {
  rule: 'taken out',
  case: 'taken out',
  yes: 'forced to yes',
  no: 'forced to no',
  round: 'turned round',
  bound: 'bound on the other side',
};

const HEAD = `# How much of the rules is held by tests

Written by \`npm run mutate\`. Every rule of the lists \`INTERLOCKS\` and \`PROPERTIES\` and every case of every
choice (the rows of the lapse table among them) is taken out by itself; every condition, part by part, is forced
to yes, forced to no and turned round; every comparison gets its bound on the other side. A change is _noticed_
when a test fails with it, _endless_ when a test then goes round for ever, and _survives_ when every test that
comes by still passes; it is _unseen_ when none comes by with a value that it would make another one, so that a
branch without a test is a change unseen. Asked are the unit tests of \`core/job\` and \`core/safety\` alone, loaded afresh for each
change; the laws, the replays and the hunts of the prover are not asked, and may notice more. So may the tests of
going over to a newer list, which are asked about the files that do that, and no others.

A condition whose _forced to yes_ and _forced to no_ are both noticed decides by itself (the pairs of MC/DC); the
list of survivors names those that have no such pair. A survivor is a gap in the tests or a condition that makes no
difference; which of the two it is has to be argued for each by itself (\`argued.ts\`), and has been done where a
reason stands. The verdicts are kept in \`verdicts.json\`; a file that changes is judged anew as a whole, by hand,
while what another file or a test made of a verdict meanwhile is not looked at again.
`;

const escaped = (text: string) => text.replaceAll('`', "'").replaceAll('|', '\\|');

function reasonText(place: Place): string {
  const reason = reasonFor(place);
  return reason === undefined ? '' : `: ${reason}`;
}

/** @param verdicts by number; a place without one was not reached before the run was ended */
export function scoreText(
  places: readonly Place[],
  verdicts: ReadonlyMap<number, Verdict>,
): string {
  const files = SOURCES;
  const isJudged = (number: number) => (verdicts.get(number) ?? 'putOff') !== 'putOff';
  const count = (file: string | undefined, verdict?: Verdict) =>
    places.filter(
      (place, number) =>
        (file === undefined || place.file === file) &&
        (verdict === undefined ? isJudged(number) : verdicts.get(number) === verdict),
    ).length;
  const row = (label: string, file?: string) => {
    const all = count(file);
    const unseen = count(file, 'unseen');
    const kept = count(file, 'survives') + unseen;
    const own = [...places.entries()].filter(
      ([, place]) => file === undefined || place.file === file,
    );
    const argued = own.filter(
      ([number, place]) => isLeft(verdicts.get(number)) && reasonFor(place) !== undefined,
    );
    const share = all === 0 ? '' : `${(((all - kept) / all) * 100).toFixed(1)} %`;
    return `| ${label} | ${own.length} | ${all} | ${count(file, 'noticed')} | ${count(file, 'endless')} | ${kept} | ${unseen} | ${argued.length} | ${share} |`;
  };
  const table = [
    '| file | changes | judged | noticed | endless | survive | unseen | argued | score |',
    '| --- | --: | --: | --: | --: | --: | --: | --: | --: |',
    ...files.map((file) => row(`\`${file.replace('src/lib/core/', '')}\``, file)),
    row('all'),
  ];
  const named = places.flatMap(({ kind, name, file }, number) =>
    kind === 'rule' || (kind === 'case' && file.endsWith('/job/lapses.ts'))
      ? [`- \`${escaped(name)}\`: ${isJudged(number) ? verdicts.get(number) : 'not judged'}`]
      : [],
  );
  const survivors = files.flatMap((file) => {
    const own = places.flatMap((place, number) =>
      place.file === file && isLeft(verdicts.get(number))
        ? [
            `- line ${place.line}, \`${escaped(place.name)}\`, ${DONE[place.kind]}${verdicts.get(number) === 'unseen' ? ' (unseen)' : ''}${reasonText(place)}`,
          ]
        : [],
    );
    return own.length === 0 ? [] : [`### ${file.replace('src/lib/core/', '')}`, '', ...own, ''];
  });
  return `${HEAD}
## By file

${table.join('\n')}

## Rules and rows of the lapse table

${named.join('\n')}

## Survivors

${survivors.join('\n').trimEnd()}
`;
}
