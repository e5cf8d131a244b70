import { describe, expect, test } from 'vitest';
import {
  changed,
  kilnText,
  problemsOf,
  stepBlock,
  withoutStep,
} from '../../../support/checklist-texts.ts';

/** Says of every problem, with its path. */
const said = (text: string) => problemsOf(text).map(({ path, says }) => `${path}: ${says}`);

const verdict = stepBlock(kilnText, 'verdict');
const when = '    when: { dead-verdict: undecided }\n';
const step = (id: string, kind: string, more = '', choice = when) =>
  `  - id: ${id}\n    phase: work\n    do: ${kind}\n${choice}${more}    say: Do it.\n`;

/** The kiln with a live window on the branch where every dead test is good. */
const live = changed(
  kilnText,
  verdict,
  [
    verdict
      .replace('id: verdict', 'id: dead-verdict')
      .replaceAll('replace:', 'found:')
      .replaceAll('keep:', 'undecided:'),
    step('rewire-live', 'reseat', '    exposes: [mains, smoothing]\n'),
    step('lid-down-live', 'close', '    end: lid-prop\n    exposes: [heat]\n'),
    step('clear-live', 'clear'),
    step('unlock-live', 'unlock', '    source: mains\n    point: breaker\n'),
    step(
      'live',
      'window',
      '    source: mains\n    allows: [volts]\n    minutes: 3\n    stillOpen: [rear-cover]\n',
    ),
    step('volts', 'reading', '    quantity: voltage\n'),
    step('lid-up-live', 'open', '    end: lid-prop\n    exposes: [heat]\n'),
    verdict,
  ].join(''),
);

describe('a live window', () => {
  test('opens on the branch that needs it, with a roll call, an unlock and connectors of its own', () => {
    expect(said(live)).toEqual([]);
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
      'stillOpen: [rear-cover, lid-prop]',
      /stillOpen\[1\]: lid-prop is not open when live comes/,
    ],
    [
      'an end that does not exist',
      'stillOpen: [rear-cover]',
      'stillOpen: [rear-covr]',
      /There is no end “rear-covr”/,
    ],
    [
      'an end that nobody named',
      '    stillOpen: [rear-cover]\n',
      '',
      /cover-off leaves rear-cover open when live comes/,
    ],
    ['too long', 'minutes: 3', 'minutes: 30', /too large; 10 is the most/],
  ];
  test.each(cases)('never %s', (_, from, to, says) => {
    const block = stepBlock(live, from.startsWith('quantity') ? 'volts' : 'live');
    const text = changed(live, block, changed(block, from, to));
    expect(said(text)).toContainEqual(expect.stringMatching(says));
  });

  test.each([
    ['rewire-live', /wires leaves connectors off when live comes; reseat them/],
    ['lid-down-live', /lid-up leaves lid-prop open when live comes; close it above/],
    ['clear-live', /No roll is called between the last exposed step and live/],
    ['unlock-live', /The lock on breaker is still there when live comes/],
  ])('does not open without %s', (id, says) => {
    expect(said(withoutStep(live, id))).toContainEqual(expect.stringMatching(says));
  });

  test('does not count what another branch may leave out', () => {
    const block = stepBlock(live, 'rewire-live');
    const text = changed(live, block, block.replace('undecided', 'found'));
    expect(said(text)).toContainEqual(expect.stringMatching(/wires leaves connectors off/));
  });

  test('leaves the roll call of the restoration unconditional', () => {
    const block = stepBlock(live, 'clear');
    const text = changed(live, block, block.replace('    do: clear\n', `    do: clear\n${when}`));
    expect(said(text)).toContainEqual(
      expect.stringMatching(/clear, so it can never be left out; take when away/),
    );
  });
});
