import { describe, expect, test } from 'vitest';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { reviewChecklist } from '#lib/core/checklist/review.ts';
import { changed, kilnText, lampText, problemsOf } from '../../../support/checklist-texts.ts';

const lineOf = (text: string, passage: string) =>
  text.slice(0, text.indexOf(passage)).split('\n').length;

describe('a checklist that is right', () => {
  test('is read whole', () => {
    const loaded = loadChecklist(kilnText);
    expect(loaded).toMatchObject({
      ok: true,
      checklist: { id: 'glass-kiln-element', revision: 2 },
    });
    if (!loaded.ok) return;
    expect(loaded.checklist.steps).toHaveLength(28);
    expect(loaded.json).toEqual(loaded.checklist);
  });

  test('keeps what YAML 1.1 would turn into something else', () => {
    const text = changed(lampText, 'title: Replace the switch of a bench lamp', "title: 'off'");
    const loaded = loadChecklist(
      changed(text, 'id: switch', 'id: no').replace('issued: 2026-10-05', 'issued: 2026-10-06'),
    );
    expect(loaded).toMatchObject({ ok: true, checklist: { title: 'off', issued: '2026-10-06' } });
  });

  test('may use anchors and aliases', () => {
    const text = changed(
      lampText,
      'exposes: [mains]\n    photo: after',
      'exposes: *hot\n    photo: after',
    );
    const anchored = text.replace(
      'exposes: [mains]\n    photo: before',
      'exposes: &hot [mains]\n    photo: before',
    );
    const loaded = loadChecklist(anchored);
    expect(loaded.ok && loaded.checklist.steps.find(({ id }) => id === 'rewire')?.exposes).toEqual([
      'mains',
    ]);
  });
});

describe('a problem of shape', () => {
  const cases: readonly [string, string, string, string, RegExp][] = [
    [
      'an unknown key',
      'title: Replace',
      'titel: Replace',
      'titel',
      /titel is not known.*did you mean title\?/,
    ],
    ['a missing key', 'revision: 1\n', '', 'revision', /revision is missing; it is a number/],
    ['another format', 'format: 1', 'format: 2', 'format', /“2” is not known here; it is 1 here/],
    [
      'no date',
      'issued: 2026-10-05',
      'issued: 5 October',
      'issued',
      /no date; write year, month and day/,
    ],
    ['no language', 'language: en', 'language: English please', 'language', /short code/],
    [
      'an id that is no name',
      'id: bench-lamp',
      'id: Bench Lamp',
      'id',
      /small letters, digits and single hyphens/,
    ],
    [
      'an unknown kind of step',
      'do: prove',
      'do: proof',
      'steps[2].do',
      /no kind of step; did you mean prove\?/,
    ],
    [
      'a key of another step',
      'terminals: 2',
      'terminals: 2\n    quantity: resistance',
      'steps[5].quantity',
      /not known in a step that does "contacts"/,
    ],
    [
      'an unknown phase',
      'phase: refit\n    do: reseat',
      'phase: refitting\n    do: reseat',
      'steps[6].phase',
      /did you mean refit\?/,
    ],
    [
      'a number without unit',
      'takes: 8 s',
      'takes: 8',
      'steps[4].takes',
      /number 8; it should be text; a quantity needs its unit/,
    ],
    [
      'a text for a list',
      'competence: [electrical]',
      'competence: electrical',
      'competence',
      /should be a list/,
    ],
    ['an empty list', 'competence: [electrical]', 'competence: []', 'competence', /list is empty/],
    [
      'an empty text',
      'states: The cord is the only way that energy reaches the lamp',
      "states: ''",
      'steps[0].states',
      /empty/,
    ],
    [
      'nothing where a block belongs',
      'ends:\n  base: { label: Base plate, kind: cover }',
      'ends:\n  base:',
      'ends.base',
      /nothing; it should be a block/,
    ],
    [
      'too few connectors',
      'least: 1',
      'least: 0',
      'steps[4].expect.least',
      /too small; 1 is the least/,
    ],
    ['half a connector', 'most: 2 }', 'most: 1.5 }', 'steps[4].expect.most', /whole number/],
    [
      'too many terminals',
      'terminals: 2',
      'terminals: 5',
      'steps[5].terminals',
      /there are 2, 3, 4/,
    ],
    [
      'a name with a space',
      '  base: { label',
      '  base plate: { label',
      'ends["base plate"]',
      /one word/,
    ],
    [
      'a control as isolator',
      'by: plug, control',
      'by: thermostat, control',
      'sources.mains.points.plug.by',
      /“thermostat” is not known here/,
    ],
  ];
  test.each(cases)('%s', (_, from, to, path, says) => {
    const text = changed(lampText, from, to);
    const problems = problemsOf(text);
    expect(problems.map((problem) => problem.path)).toContain(path);
    const problem = problems.find((each) => each.path === path);
    expect(problem?.says).toMatch(says);
    if (to === '') return;
    const first = lineOf(text, to);
    expect(problem?.line).toBeGreaterThanOrEqual(first);
    expect(problem?.line).toBeLessThan(first + to.split('\n').length);
  });

  test('a form with a slip inside is still known as that form', () => {
    const text = changed(kilnText, 'cool: { below: 48 °C', 'cool: { belo: 48 °C');
    expect(problemsOf(text).map(({ path, says }) => [path, says])).toEqual([
      ['sources.heat.release.cool.below', expect.stringMatching(/below is missing/)],
      ['sources.heat.release.cool.belo', expect.stringMatching(/did you mean below\?/)],
    ]);
  });

  test('an unknown form names those that exist', () => {
    const text = changed(kilnText, 'accept: { least: 60 °C }', 'accept: { lest: 60 °C }');
    expect(problemsOf(text)).toMatchObject([
      { path: 'steps[26].accept.lest', says: expect.stringMatching(/did you mean least\?/) },
    ]);
  });

  test('everything is said at once, each with its own place', () => {
    let text = changed(kilnText, 'revision: 2', 'revision: two');
    text = changed(text, 'source: heat\n', 'source: haet\n');
    text = changed(text, 'takes: 25 s', 'takes: 25 Sek');
    text = changed(text, 'photo: after', 'foto: after');
    text = changed(text, 'below: 2 V', 'below: 2 ohm');
    const problems = problemsOf(text);
    expect(problems.map(({ path }) => path)).toEqual([
      'revision',
      'sources.mains.dead.below',
      'steps[2].takes',
      'steps[8].source',
      'steps[17].foto',
    ]);
    expect(problems.map(({ line }) => line)).toEqual(
      ['revision: two', 'below: 2 ohm', 'takes: 25 Sek', 'source: haet', 'foto: after'].map(
        (passage) => lineOf(text, passage),
      ),
    );
    const [first] = problems;
    expect(first).toMatchObject({ line: 5, column: 11 });
  });

  test('the id is best the name of the file', () => {
    const loaded = loadChecklist(lampText);
    if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
    const { checklist, places, json } = loaded;
    const adviceAt = (file: string) =>
      reviewChecklist(checklist, places, { json, file }).filter(({ path }) => path === 'id');
    expect(adviceAt('checklists/other-lamp.yaml')).toMatchObject([
      { path: 'id', says: expect.stringContaining('bench-lamp') },
    ]);
    expect(adviceAt('checklists/bench-lamp.yaml')).toEqual([]);
  });

  test('a step without words is given plain ones, and the identity is taken of what was read', () => {
    const text = lampText.replace(/^ {4}say: .*\n/mu, '');
    const loaded = loadChecklist(text);
    if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
    const bare = (loaded.json as { steps: { id: string; say?: string }[] }).steps.filter(
      (step) => step.say === undefined,
    );
    expect(bare).toHaveLength(1);
    const step = loaded.checklist.steps.find(({ id }) => id === bare[0]?.id);
    expect(step?.say).toMatch(/^[A-Z].*\.$/u);
    const advice = reviewChecklist(loaded.checklist, loaded.places, { json: loaded.json });
    expect(advice.map(({ says }) => says)).toContain(
      'This step has no words of its own; give it a say.',
    );
  });

  test.each(['', '   \n', '# only a comment\n'])(
    'an empty file is said to be empty: %j',
    (text) => {
      expect(problemsOf(text)).toMatchObject([
        { path: '', line: 1, says: expect.stringContaining('empty') },
      ]);
    },
  );

  test.each(['just a sentence', '- a\n- b', '42', 'null', 'true', '---\n'])(
    '%j is no checklist',
    (text) => {
      const [first] = problemsOf(text);
      expect(first?.says).toMatch(/A checklist is a block of keys that begins with format: 1/);
    },
  );

  test('a thousand wrong keys end in a count, not in a flood', () => {
    const text = lampText + Array.from({ length: 1000 }, (_, at) => `wrong${at}: 1\n`).join('');
    const problems = problemsOf(text);
    expect(problems).toHaveLength(201);
    expect(problems.at(-1)?.says).toMatch(/There are 800 more problems/);
  });
});
