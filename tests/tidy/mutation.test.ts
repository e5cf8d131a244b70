/** The document of the mutation run names what there is: a rule or a file that is new has to be judged. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { INTERLOCKS } from '#lib/core/job/interlocks.ts';
import { PROPERTY_IDS } from '#lib/core/safety/index.ts';
import { LAPSE_GUARDS } from '#lib/core/prove/guards.ts';
import { INTERLOCK_CASES } from '../support/refusal-cases.ts';
import { ARGUED, reasonFor } from '../mutation/argued.ts';
import { allPlaces, isLeft } from '../mutation/bench.ts';
import { Verdicts } from '../mutation/kept.ts';
import { pathsBelow, root } from './tree.ts';

/** Files whose survivors are all argued. */
const GATES = /job\/(?:interlocks|gates|lapses|energy)/u;
const score = readFileSync(join(root, 'tests/mutation/SCORE.md'), 'utf8');
const listed = (list: string) =>
  score
    .split('\n')
    .filter((line) => line.startsWith(`- \`${list}: `) && !line.endsWith('not judged'));

test('every interlock has a case of its own, and every case an interlock', () => {
  const named = new Set(INTERLOCK_CASES.flatMap(({ interlock }) => interlock ?? []));
  expect([...named].toSorted()).toEqual(INTERLOCKS.map(({ id }) => id).toSorted());
});

test('every interlock was taken out, and noticed', () => {
  const lines = listed('INTERLOCKS').filter((line) => line.endsWith(': noticed'));
  const ids = lines.map((line) => /'([a-z-]+)'/u.exec(line)?.[1]);
  expect(ids).toEqual(INTERLOCKS.map(({ id }) => id));
});

test('every property was taken out, and noticed', () => {
  expect(listed('PROPERTIES').filter((line) => line.endsWith(': noticed'))).toHaveLength(
    PROPERTY_IDS.length,
  );
});

test('every row of the lapse table was taken out, and noticed', () => {
  const lines = listed('standing').filter((line) => line.endsWith(': noticed'));
  const rows = lines.map((line) => /'(\w+)'/u.exec(line)?.[1]);
  expect(rows.toSorted()).toEqual(Object.keys(LAPSE_GUARDS).toSorted());
});

test('every file of the rules has its row', () => {
  const code = ['src/lib/core/job', 'src/lib/core/safety'].flatMap(pathsBelow);
  const files = code.filter((path) => path.endsWith('.ts')).map((path) => path.slice(13));
  const rows = [...score.matchAll(/^\| `([^`]+)`/gmu)].map(([, file]) => file);
  expect(rows.toSorted()).toEqual(files.toSorted());
});

test('every reason stands beside a survivor, and the gates have none without', () => {
  const { places } = allPlaces();
  const { byNumber } = new Verdicts(places);
  const left = places.filter((_, number) => isLeft(byNumber.get(number)));
  for (const { file, of, done } of ARGUED) {
    const own = places.filter((place) => place.file === file && place.name === of);
    expect(
      own.map(({ kind }) => kind),
      of,
    ).toEqual(expect.arrayContaining([...done]));
  }
  const unargued = left.filter((place) => GATES.test(place.file) && reasonFor(place) === undefined);
  expect(unargued.map(({ file, name, kind }) => `${file} ${name} ${kind}`)).toEqual([]);
});
