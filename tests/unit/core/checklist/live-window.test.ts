import { describe, expect, test } from 'vitest';
import { changed, kilnText, problemsOf, stepBlock } from '../../../support/checklist-texts.ts';

/** Says of every problem, with its path. */
const said = (text: string) => problemsOf(text).map(({ path, says }) => `${path}: ${says}`);

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

  test('may have its own roll call, lock and connectors before it, on the branch that needs it', () => {
    const choose = verdict
      .replace('id: verdict', 'id: dead-verdict')
      .replaceAll('replace:', 'found:')
      .replaceAll('keep:', 'undecided:');
    const when = '    when: { dead-verdict: undecided }\n';
    const extra = (id: string, kind: string, more = '') =>
      `  - id: ${id}\n    phase: work\n    do: ${kind}\n${when}${more}    say: Do it.\n`;
    const steps =
      choose +
      extra('rewire-live', 'reseat', '    exposes: [mains, smoothing]\n') +
      extra('lid-down-live', 'close', '    end: lid-prop\n') +
      extra('clear-live', 'clear') +
      extra('unlock-live', 'unlock', '    source: mains\n    point: breaker\n') +
      window
        .replace('    source: mains\n', `${when}    source: mains\n`)
        .replace('    quantity: voltage\n', `${when}    quantity: voltage\n`) +
      extra('lid-up-live', 'open', '    end: lid-prop\n    exposes: [heat]\n');
    expect(said(changed(kilnText, verdict, steps + verdict))).toEqual([]);
    const only = changed(
      kilnText,
      stepBlock(kilnText, 'clear'),
      stepBlock(kilnText, 'clear').replace(
        '    do: clear\n',
        '    do: clear\n    when: { verdict: keep }\n',
      ),
    );
    expect(said(only)).toContainEqual(
      expect.stringMatching(/clear, so it can never be left out; take when away/),
    );
  });
});
