import { describe, expect, test } from 'vitest';
import {
  changed,
  checklistText,
  kilnText,
  movedBefore,
  problemsOf,
  stepBlock,
  withoutStep,
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

describe('gates that a file cannot leave out', () => {
  const without: readonly [string, RegExp][] = [
    ['breaker-off', /No step isolates mains at breaker/],
    ['unplug', /No step isolates mains at plug/],
    ['breaker-lock', /No step locks mains at breaker; a lock needs one/],
    ['find-breaker', /No step finds mains at breaker/],
    ['dead', /No step proves mains dead/],
    ['cool', /No step releases heat/],
    ['drain', /No step releases smoothing/],
    ['case', /case-again comes after unplug, where hands are already on the metal/],
    ['case-again', /After power the case of mains is not tested again/],
    ['count', /The sources are not counted before dead/],
    ['clear', /No clear step stands above plug-in/],
    ['lock-off', /No step unlocks mains at breaker/],
    ['plug-in', /No step restores mains at plug/],
    ['power', /No step restores mains at breaker/],
    ['cover-on', /cover-off opens rear-cover and no later step closes it/],
    ['lid-down', /lid-up opens lid-prop and no later step closes it/],
    ['rewire', /wires takes connectors off and no later step reseats them/],
    ['done', /The last step signs the record/],
    ['gloves', /No wear step above has “cut-resistant gloves A4” under on/],
  ];
  test.each(without)('without %s', (id, says) => {
    const kiln =
      id === 'gloves' ? changed(kilnText, 'needs: [gloves, slack]', 'needs: [slack]') : kilnText;
    expect(said(withoutStep(kiln, id))).toContainEqual(expect.stringMatching(says));
  });

  const inPhase = (id: string, phase: string) => (text: string) =>
    changed(
      text,
      stepBlock(text, id),
      stepBlock(text, id).replace(/phase: \w+/u, `phase: ${phase}`),
    );
  const moved: readonly [string, string, string, RegExp][] = [
    [
      'breaker-lock',
      'breaker-off',
      'isolate',
      /breaker-lock comes before breaker-off; a point is locked once it is cut/,
    ],
    [
      'breaker-off',
      'find-breaker',
      'isolate',
      /find-breaker comes after breaker-off; a breaker is found before/,
    ],
    [
      'dead',
      'breaker-lock',
      'isolate',
      /dead comes before breaker-lock; mains is proved dead once every point is cut and held/,
    ],
    ['dead', 'wires', 'open', /dead comes after cover-off, which already exposes mains/],
    ['cool', 'wires', 'open', /cool comes after cover-off, which already exposes heat/],
    ['drain', 'element-ohms', 'work', /drain comes after wires, which already exposes smoothing/],
    ['case', 'cool', 'isolate', /case comes after unplug, where hands are already on the metal/],
    ['power', 'plug-in', 'restore', /power comes before plug-in; points come back in the reverse/],
    [
      'lock-off',
      'clear',
      'restore',
      /lock-off comes before clear; locks come off once the roll was called/,
    ],
    ['lock-off', 'power', 'restore', /lock-off comes after plug-in; every lock is off before/],
    ['clear', 'plug-in', 'restore', /lock-off comes before clear/],
    [
      'cover-on',
      'lock-off',
      'restore',
      /cover-on comes after clear; everything is closed before the roll/,
    ],
    [
      'rewire',
      'lock-off',
      'restore',
      /rewire comes after clear; every connector is back before the roll/,
    ],
    ['rewire', 'lock-off', 'restore', /rewire exposes a person after the roll was called in clear/],
    ['count', 'cover-off', 'isolate', /The sources are not counted before dead/],
    ['case-again', 'power', 'restore', /After power the case of mains is not tested again/],
    ['done', 'heats', 'finish', /done signs before the work is over/],
    ['cover-on', 'cover-off', 'open', /cover-on closes rear-cover, which no step above opens/],
    ['rewire', 'wires', 'work', /rewire reseats connectors that no step above takes off/],
  ];
  test.each(moved)('%s moved before %s', (id, other, phase, says) => {
    const text = inPhase(id, phase)(movedBefore(kilnText, id, other));
    expect(said(text)).toContainEqual(expect.stringMatching(says));
  });

  const sourceCases: readonly [string, string, string, RegExp][] = [
    [
      'an electrical source with no proof',
      '    dead: { pairs: [L1-L2, L1-N, L2-N, L1-G, L2-G], below: 2 V, category: CAT III }\n',
      '',
      /sources\.mains: mains is electrical and lacks dead/,
    ],
    [
      'a charge that nothing lets go',
      stepBlock(kilnText, 'drain'),
      '',
      /No step releases smoothing/,
    ],
    [
      'a lock on a plug kept in sight',
      'control: exclusive',
      'control: tag',
      /No step locks mains at plug; a tag needs one/,
    ],
    [
      'a heat with a proof of dead',
      '    kind: thermal\n',
      '    kind: thermal\n    dead: { pairs: [A-B], below: 2 V, category: CAT II }\n',
      /Only an electrical source is proved dead/,
    ],
    [
      'a release that waits for itself',
      'source: smoothing\n    exposes: [mains]',
      'source: smoothing\n    exposes: [mains, smoothing]',
      /drain would wait for itself/,
    ],
    [
      'a gate that hangs on a choice',
      'id: clear\n    phase: restore\n    do: clear\n',
      'id: clear\n    phase: restore\n    do: clear\n    when: { verdict: replace }\n',
      /A gate waits for clear, so it can never be left out; take when away/,
    ],
    [
      'a gate that is optional',
      'id: dead\n    phase: isolate\n',
      'id: dead\n    phase: isolate\n    optional: true\n',
      /A gate waits for dead/,
    ],
    [
      'a closing that hangs on a choice',
      'id: cover-on\n    phase: refit\n',
      'id: cover-on\n    phase: refit\n    when: { verdict: replace }\n',
      /cover-on ends what cover-off began/,
    ],
    [
      'a reseat that is optional',
      'id: rewire\n    phase: refit\n',
      'id: rewire\n    phase: refit\n    optional: true\n',
      /rewire ends what wires began/,
    ],
  ];
  test.each(sourceCases)('%s', (_, from, to, says) => {
    expect(said(changed(kilnText, from, to))).toContainEqual(expect.stringMatching(says));
  });

  test('a source that is cut nowhere', () => {
    const points = kilnText.slice(kilnText.indexOf('    points:\n'), kilnText.indexOf('    dead:'));
    const text = changed(kilnText, points, '');
    expect(said(text)).toContainEqual(
      expect.stringMatching(/point of mains|no point where it is cut/),
    );
  });

  test('contacts read with the wires on', () => {
    const contacts =
      '  - id: thermostat\n    phase: refit\n    do: contacts\n    terminals: 2\n    say: Read it.\n';
    const after = changed(
      kilnText,
      stepBlock(kilnText, 'lid-down'),
      contacts + stepBlock(kilnText, 'lid-down'),
    );
    expect(said(after)).toEqual([
      expect.stringMatching(/thermostat reads a part with its wires still on/),
    ]);
    expect(said(after.replace('terminals: 2\n', 'terminals: 2\n    inPlace: true\n'))).toEqual([]);
    expect(
      said(after.replace('terminals: 2\n', 'terminals: 3\n    rest: open\n    inPlace: true\n')),
    ).toEqual([expect.stringMatching(/rest: Only a part of two terminals/)]);
  });

  test('what must be off was taken off', () => {
    expect(said(swap('gloves-off', 'off: [cut', 'on: [cut'))).toEqual([
      expect.stringMatching(/bare\[0\]: .*gloves-off says the opposite/),
    ]);
  });

  test('neighbours that may be done in any order stand together', () => {
    const text = swap('cool', '    takes', '    together: first\n    takes');
    const parted = changed(
      text,
      stepBlock(text, 'cover-off'),
      stepBlock(text, 'cover-off').replace('    takes', '    together: first\n    takes'),
    );
    expect(said(text)).toEqual([]);
    expect(said(parted)).toEqual([
      expect.stringMatching(/together: first must stand next to each other/),
    ]);
  });
});

describe('a live window', () => {
  const window = [
    '  - id: live',
    '    phase: work',
    '    do: window',
    '    source: mains',
    '    allows: [volts]',
    '    minutes: 3',
    '    stillOpen: [rear-cover]',
    '    say: Open a live window.',
    '  - id: volts',
    '    phase: work',
    '    do: reading',
    '    quantity: voltage',
    '    say: Measure the volts at the element.',
    '',
  ].join('\n');
  const verdict = stepBlock(kilnText, 'verdict');
  const withWindow = (change: (text: string) => string) =>
    said(changed(kilnText, verdict, change(window) + verdict));

  test('may allow later readings of its phase', () => {
    expect(withWindow((text) => text)).toEqual([]);
  });

  const cases: readonly [string, string, string, RegExp][] = [
    [
      'an unknown step',
      'allows: [volts]',
      'allows: [volt]',
      /allows\[0\]: There is no step “volt”; did you mean volts\?/,
    ],
    [
      'something else than a reading',
      'allows: [volts]',
      'allows: [verdict]',
      /verdict does “choose”; only readings/,
    ],
    [
      'an earlier reading',
      'allows: [volts]',
      'allows: [element-ohms]',
      /element-ohms must come after live/,
    ],
    [
      'a reading of another phase',
      'allows: [volts]',
      'allows: [heats]',
      /heats must come after live, in the same phase/,
    ],
    [
      'a reading with hands inside',
      'quantity: voltage',
      'quantity: voltage\n    exposes: [mains]',
      /volts exposes a person and is allowed in the live window/,
    ],
    [
      'an end that is not open',
      'stillOpen: [rear-cover]',
      'stillOpen: [rear-covr]',
      /There is no end “rear-covr”/,
    ],
    ['too long', 'minutes: 3', 'minutes: 30', /too large; 10 is the most/],
  ];
  test.each(cases)('never %s', (_, from, to, says) => {
    expect(withWindow((text) => changed(text, from, to))).toContainEqual(
      expect.stringMatching(says),
    );
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
