import { loadChecklist } from '#lib/core/checklist/load.ts';
import { reviewChecklist } from '#lib/core/checklist/review.ts';
import { describe, expect, test } from 'vitest';
import {
  changed,
  checklistText,
  kilnText,
  problemsOf,
  stepBlock,
} from '../../../support/checklist-texts.ts';

const rangeText = checklistText('range-door-lock.yaml', 'shipped');

/** Says of every problem, with its path. */
const said = (text: string) => problemsOf(text).map(({ path, says }) => `${path}: ${says}`);

const swap = (id: string, from: string, to: string) =>
  changed(kilnText, stepBlock(kilnText, id), changed(stepBlock(kilnText, id), from, to));

describe('names that stand for nothing', () => {
  const cases: readonly [string, string, string, RegExp][] = [
    [
      'a source',
      'source: heat\n',
      'source: heta\n',
      /steps\[8\]\.source: There is no source “heta”; did you mean heat\?/,
    ],
    [
      'a point',
      'point: plug\n    needs',
      'point: plgu\n    needs',
      /steps\[7\]\.point: There is no point of mains “plgu”; did you mean plug\?/,
    ],
    [
      'an exposed source',
      'exposes: [mains, heat]',
      'exposes: [mains, hot]',
      /exposes\[1\]: There is no source “hot”/,
    ],
    [
      'an end',
      'do: close\n    end: rear-cover',
      'do: close\n    end: rear-cover2',
      /There is no end “rear-cover2”; did you mean rear-cover\?/,
    ],
    [
      'a need',
      'needs: [gloves, slack]',
      'needs: [gloves, slak]',
      /needs\[1\]: There is no step “slak” above; did you mean slack\?/,
    ],
    [
      'a need of a later step',
      'needs: [gloves, slack]',
      'needs: [gloves, dead]',
      /needs\[1\]: The step dead comes later/,
    ],
    [
      'a choice',
      'when: { verdict: replace }',
      'when: { verdct: replace }',
      /when\.verdct: There is no step “verdct” above; did you mean verdict\?/,
    ],
    [
      'an option',
      'when: { verdict: replace }',
      'when: { verdict: replaced }',
      /There is no option of verdict “replaced”; did you mean replace\?/,
    ],
    [
      'a choice that is none',
      'when: { verdict: replace }',
      'when: { gloves: replace }',
      /gloves does “wear”; only the outcome of a choose step/,
    ],
    ['a feed', 'from: mains', 'from: heat', /from: There is no electrical source “heat”/],
  ];
  test.each(cases)('%s', (_, from, to, says) => {
    expect(said(changed(kilnText, from, to))).toEqual([expect.stringMatching(says)]);
  });

  test('two steps of one id', () => {
    const text = swap('gloves-off', 'id: gloves-off', 'id: slack');
    expect(said(text)).toContainEqual(
      expect.stringMatching(/The id slack is taken by a step above/),
    );
  });

  test('a phase that goes back', () => {
    expect(said(swap('wires', 'phase: work', 'phase: isolate'))).toEqual([
      expect.stringMatching(/^steps\[13\]\.phase: The phase isolate comes before open/),
    ]);
  });

  test('more ends than a job can follow', () => {
    const many = Array.from(
      { length: 29 },
      (_, at) => `  e${at}: { label: End, kind: cover }\n`,
    ).join('');
    expect(said(changed(kilnText, 'ends:\n', `ends:\n${many}`))).toEqual([
      expect.stringMatching(/^ends: There are 31 ends; 30 is the most/),
    ]);
  });
});

describe('suspects', () => {
  test('are judged by steps and outcomes that exist', () => {
    const text = changed(
      rangeText,
      'clearedBy: { door-switch: [healthy] }',
      'clearedBy: { door-switch: [helthy], dor: [pass] }',
    );
    expect(said(text)).toEqual([
      expect.stringMatching(
        /suspects\.position-switch\.clearedBy\.door-switch: .*never comes out as “helthy”/,
      ),
      expect.stringMatching(/suspects\.position-switch\.clearedBy\.dor: There is no step “dor”/),
    ]);
  });
});

describe('references that nobody listed', () => {
  const cases: readonly [string, string, string, RegExp][] = [
    [
      'a reference',
      'reference: ansi-105',
      'reference: ansi-106',
      /There is no reference “ansi-106”; did you mean ansi-105\?/,
    ],
    [
      'a reference in a caution',
      'reference: en-50110,',
      'reference: en-5011,',
      /cautions\[0\]\.reference: There is no reference/,
    ],
    [
      'a reference of a source',
      'limit: default, reference: iso-13732 }',
      'limit: default, reference: iso }',
      /sources\.heat\.release\.cool\.reference: There is no reference/,
    ],
  ];
  test.each(cases)('%s is advised on, and keeps nobody from work', (_, from, to, says) => {
    const loaded = loadChecklist(changed(kilnText, from, to));
    if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
    const { checklist, places, json } = loaded;
    const advice = reviewChecklist(checklist, places, { json });
    const lines = advice.map((each) => `${each.path}: ${each.says}`);
    expect(lines).toContainEqual(expect.stringMatching(says));
  });
});
