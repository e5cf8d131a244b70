import { describe, expect, test } from 'vitest';
import {
  changed,
  kilnText,
  movedBefore,
  problemsOf,
  stepBlock,
  withoutStep,
} from '../../../support/checklist-texts.ts';

/** Says of every problem, with its path. */
const said = (text: string) => problemsOf(text).map(({ path, says }) => `${path}: ${says}`);

const swap = (id: string, from: string, to: string) =>
  changed(kilnText, stepBlock(kilnText, id), changed(stepBlock(kilnText, id), from, to));

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
