import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { loadChecklist } from '../../../../src/lib/core/checklist/load.ts';
import { judgeContacts } from '../../../../src/lib/core/measure/contacts.ts';
import {
  contactsOutcomes,
  diagnose,
  mayOrder,
  readingOutcomes,
  testsOf,
  type Finding,
  type Suspects,
} from '../../../../src/lib/core/measure/diagnosis.ts';
import { parseQuantity } from '../../../../src/lib/core/measure/quantity.ts';
import { reviewSuspects } from '../../../../src/lib/core/measure/suspects-review.ts';

const file = new URL('../../../../checklists/range-door-lock.yaml', import.meta.url);
const loaded = loadChecklist(readFileSync(file, 'utf8'));
if (!loaded.ok) throw new Error(loaded.problems.map(({ says }) => says).join(' '));
const { checklist } = loaded;
const suspects = checklist.suspects ?? {};

const minutesOf = (takes: string) => {
  const read = parseQuantity(takes);
  return read.ok ? read.quantity.si / 60 : null;
};
const tests = testsOf(checklist, minutesOf);
const contacts = (
  step: string,
  rest: string,
  pressed: string,
  terminals: number,
  kind?: 'NO' | 'NC',
) => ({
  step,
  outcomes: contactsOutcomes(judgeContacts({ terminals, rest, pressed, kind })),
});
const reading = (step: string, verdict: 'pass' | 'fail' | 'cannotTell'): Finding => ({
  step,
  outcomes: readingOutcomes({ verdict }),
});
const chosen = (step: string, option: string): Finding => ({ step, outcomes: [option] });

const everythingGood: Finding[] = [
  contacts('door-switch', 'CO', 'OC', 3),
  contacts('lock-switch', 'O', 'C', 2, 'NO'),
  contacts('unlock-switch', 'C', 'O', 2, 'NC'),
  reading('motor', 'pass'),
  reading('sensor', 'pass'),
  reading('harness', 'pass'),
  chosen('latch-look', 'free'),
];
const standing = (findings: readonly Finding[], id: string) =>
  diagnose(suspects, findings, tests).suspects.find((each) => each.id === id)?.standing;

describe('the door lock that will not engage', () => {
  test('starts with every suspect open, and asks for the cheapest dead test first', () => {
    const { remaining, next } = diagnose(suspects, [], tests);
    expect(remaining).toHaveLength(Object.keys(suspects).length);
    const cheapest = Math.min(...tests.map(({ minutes }) => minutes));
    expect(next).toMatchObject({ minutes: cheapest, live: false });
  });

  test('holds the board while a cheaper suspect has no verdict, and names those', () => {
    const marked = chosen('board-look', 'marked');
    const early = mayOrder(suspects, diagnose(suspects, [marked], tests), 'board');
    expect(early).toMatchObject({ held: true, code: 'cheaper-open' });
    expect(early.waitsFor).toContain('position-switch');

    for (const missing of everythingGood) {
      const findings = [...everythingGood.filter((each) => each !== missing), marked];
      const answer = mayOrder(suspects, diagnose(suspects, findings, tests), 'board');
      expect(answer.held, missing.step).toBe(true);
    }
    const all = diagnose(suspects, [...everythingGood, marked], tests);
    const answer = mayOrder(suspects, all, 'board');
    expect(answer).toMatchObject({ held: false, code: 'may-order' });
    expect(answer.says).toContain('cannot be returned');
    expect(all.remaining).toEqual(['board']);
  });

  test('holds it too when nothing blames it, or a cheaper part is blamed', () => {
    const clean = diagnose(suspects, [...everythingGood, chosen('board-look', 'clean')], tests);
    expect(mayOrder(suspects, clean, 'board')).toMatchObject({ held: true, code: 'not-blamed' });
    const sensorBad = [
      ...everythingGood.filter(({ step }) => step !== 'sensor'),
      reading('sensor', 'fail'),
      chosen('board-look', 'marked'),
    ];
    const answer = mayOrder(suspects, diagnose(suspects, sensorBad, tests), 'board');
    expect(answer).toMatchObject({ held: true, code: 'cheaper-blamed', waitsFor: ['sensor'] });
  });

  test('lets a cheap part be ordered as soon as a reading blames it', () => {
    const found = diagnose(suspects, [contacts('door-switch', 'CO', 'CO', 3)], tests);
    expect(found.remaining[0]).toBe('position-switch');
    expect(mayOrder(suspects, found, 'position-switch')).toMatchObject({ held: false });
  });

  test('a reading that cannot tell, or was taken in circuit, clears and blames nobody', () => {
    expect(standing([reading('sensor', 'cannotTell')], 'sensor')).toBe('open');
    expect(standing([{ ...reading('sensor', 'pass'), inPlace: true }], 'sensor')).toBe('open');
    expect(standing([{ ...reading('sensor', 'fail'), inPlace: true }], 'sensor')).toBe('open');
    expect(standing([reading('sensor', 'pass')], 'sensor')).toBe('cleared');
    expect(standing([reading('sensor', 'fail')], 'sensor')).toBe('blamed');
  });

  test('swapped labels do not blame the switch', () => {
    expect(standing([contacts('door-switch', 'OC', 'CO', 3)], 'position-switch')).toBe('open');
    expect(standing([contacts('door-switch', 'CO', 'OO', 3)], 'position-switch')).toBe('blamed');
  });

  test('the last outcome of a step counts', () => {
    const twice = [reading('sensor', 'fail'), reading('sensor', 'pass')];
    expect(standing(twice, 'sensor')).toBe('cleared');
  });

  test('the lock unit is clear only when both switches and the motor are', () => {
    const parts = everythingGood.filter(({ step }) =>
      ['lock-switch', 'unlock-switch', 'motor'].includes(step),
    );
    expect(standing(parts, 'lock-unit')).toBe('cleared');
    for (const missing of parts) {
      expect(
        standing(
          parts.filter((each) => each !== missing),
          'lock-unit',
        ),
      ).toBe('open');
    }
  });

  test('the next test is always one that has a say on a suspect still open, until none is left', () => {
    const findings: Finding[] = [];
    const asked = new Set<string>();
    for (;;) {
      const { next } = diagnose(suspects, findings, tests);
      if (next === null || asked.has(next.step)) break;
      asked.add(next.step);
      expect(next.about.length).toBeGreaterThan(0);
      const good = everythingGood.find(({ step }) => step === next.step);
      findings.push(good ?? chosen(next.step, 'clean'));
    }
    for (const { step } of everythingGood) expect(asked).toContain(step);
  });
});

describe('diagnosis in general', () => {
  const two: Suspects = {
    fuse: {
      label: 'Fuse',
      cost: 1,
      clearedBy: { a: ['pass'] },
      blamedBy: { a: ['fail'], b: ['fail'] },
    },
    pump: { label: 'Pump', cost: 1, clearedBy: { c: ['pass'] } },
  };
  const both = [
    { step: 'a', minutes: 1, live: false },
    { step: 'b', minutes: 1, live: true },
    { step: 'c', minutes: 2, live: false },
  ];

  test('clearing and blaming at once is a contradiction and stays open', () => {
    const found = diagnose(two, [reading('a', 'pass'), reading('b', 'fail')], both);
    expect(found.suspects[0]).toMatchObject({ standing: 'contradicted', because: ['b', 'a'] });
    expect(found.remaining).toContain('fuse');
  });

  test('dead tests come before live ones, and one already made comes last', () => {
    const onlyFuse: Suspects = { fuse: two['fuse']! };
    expect(diagnose(onlyFuse, [], both).next?.step).toBe('a');
    expect(diagnose(onlyFuse, [reading('a', 'cannotTell')], both).next?.step).toBe('b');
    const made = [reading('a', 'cannotTell'), reading('b', 'cannotTell')];
    expect(diagnose(onlyFuse, made, both).next?.step).toBe('a');
  });

  test('a clearing step that does not apply to this job is not waited for', () => {
    const lock: Suspects = { lock: { label: 'Lock', clearedBy: { a: ['pass'], z: ['pass'] } } };
    expect(diagnose(lock, [reading('a', 'pass')], both).suspects[0]?.standing).toBe('cleared');
    const withZ = [...both, { step: 'z', minutes: 1, live: false }];
    expect(diagnose(lock, [reading('a', 'pass')], withZ).suspects[0]?.standing).toBe('open');
    expect(diagnose({ bare: { label: 'Bare' } }, [], both).suspects[0]?.standing).toBe('open');
  });

  test('an unknown part cannot be ordered', () => {
    const found = diagnose(two, [], both);
    expect(mayOrder(two, found, 'motor')).toMatchObject({ held: true, code: 'unknown-suspect' });
  });

  test('tests are taken from the checklist, live ones marked by their window', () => {
    const step = { phase: 'work', say: 'Do it.' } as const;
    const found = testsOf(
      {
        suspects: two,
        steps: [
          { ...step, id: 'w', do: 'window', source: 'mains', allows: ['b'], minutes: 3 },
          { ...step, id: 'b', do: 'reading', quantity: 'voltage', takes: '30 s' },
          { ...step, id: 'c', do: 'reading', quantity: 'voltage' },
          { ...step, id: 'x', do: 'reading', quantity: 'voltage' },
        ],
      },
      minutesOf,
    );
    expect(found).toEqual([
      { step: 'b', minutes: 0.5, live: true },
      { step: 'c', minutes: 5, live: false },
    ]);
  });
});

describe('the review of suspects', () => {
  const step = { phase: 'work', say: 'Do it.' } as const;
  const steps = [
    { ...step, id: 'ohms', do: 'reading', quantity: 'resistance' },
    { ...step, id: 'look', do: 'choose', options: { clean: 'Clean', burnt: 'Burnt' } },
    { ...step, id: 'switch', do: 'contacts', terminals: 3 },
    { ...step, id: 'there', do: 'contacts', terminals: 2, inPlace: true },
    { ...step, id: 'said', do: 'confirm', states: 'So it is.' },
  ] as const;
  const review = (suspect: Suspects[string]) =>
    reviewSuspects({ steps, suspects: { part: suspect } }).map(
      ({ path, code }) => `${path} ${code}`,
    );

  test('the shipped checklist has nothing to say', () => {
    expect(reviewSuspects(checklist)).toEqual([]);
  });

  test.each([
    [{ label: 'Part' }, 'suspects.part no-test'],
    [{ label: 'Part', cost: 0, clearedBy: { ohms: ['pass'] } }, 'suspects.part.cost cost'],
    [{ label: 'Part', clearedBy: { gone: ['pass'] } }, 'suspects.part.clearedBy.gone unknown-step'],
    [
      { label: 'Part', clearedBy: { ohms: ['good'] } },
      'suspects.part.clearedBy.ohms unknown-outcome',
    ],
    [
      { label: 'Part', blamedBy: { look: ['pass'] } },
      'suspects.part.blamedBy.look unknown-outcome',
    ],
    [{ label: 'Part', blamedBy: { there: ['faulty'] } }, 'suspects.part.blamedBy.there in-place'],
    [
      { label: 'Part', clearedBy: { look: ['clean'] }, blamedBy: { look: ['clean'] } },
      'suspects.part.clearedBy.look clears-and-blames',
    ],
  ])('%j: %s', (suspect, problem) => {
    expect(review(suspect)).toEqual([problem]);
  });

  test('codes of patterns, options and done are outcomes', () => {
    expect(
      review({
        label: 'Part',
        clearedBy: { switch: ['healthy'], said: ['done'] },
        blamedBy: { switch: ['nc-open', 'high-resistance'], look: ['burnt'], ohms: ['fail'] },
      }),
    ).toEqual([]);
  });
});
