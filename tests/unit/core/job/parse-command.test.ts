import { fc, test } from '@fast-check/vitest';
import { describe, expect } from 'vitest';
import { parseCommand } from '#lib/core/job/parse-command.ts';

const stamp = { at: '2026-11-25T10:42:07-05:00', mono: 1200, by: 'mara' };
const read = (more: object) => parseCommand({ ...stamp, ...more });
const does = (result: unknown) => read({ command: 'do', step: 'cool', result });

function command(more: object): Record<string, unknown> {
  const found = read(more);
  if (!found.ok) throw new Error(found.says);
  return found.command as unknown as Record<string, unknown>;
}

function says(found: ReturnType<typeof parseCommand>): string {
  if (found.ok) throw new Error('This was read, and should not have been.');
  return found.says;
}

describe('the stamp', () => {
  test('a command without a boot is of one run; milliseconds lose their fraction', () => {
    expect(command({ command: 'resume', mono: 12.9 })).toEqual({
      ...stamp,
      mono: 12,
      boot: 'boot',
      command: 'resume',
    });
  });

  test.each([
    [{ at: '2026-11-25 10:42' }, /“at” has to be a time with its offset/],
    [{ at: '2026-11-25T10:42:07' }, /offset/],
    [{ at: '2026-02-30T10:42:07Z' }, /“at”/],
    [{ at: '2026-11-25T24:00:00Z' }, /“at”/],
    [{ mono: -1 }, /mono has to be a number, not negative/],
    [{ mono: '12' }, /mono has to be a number/],
    [{ boot: 'a b' }, /“boot” has to be an id/],
    [{ by: '' }, /by has to be one line/],
    [{ by: 'a\nb' }, /by has to be one line/],
    [{ by: undefined }, /by has to be text/],
  ])('%j is said to be wrong', (wrong, sentence) => {
    expect(says(read({ command: 'resume', ...wrong }))).toMatch(sentence);
  });
});

describe('a command', () => {
  test.each([
    [7, /A command has to be an object/],
    [{ ...stamp }, /command has to be text/],
    [{ ...stamp, command: 'toString' }, /“toString” is no command; there are: open, do/],
    [{ ...stamp, command: 'resume', soon: 1 }, /“soon” is not a field of a command/],
    [{ ...stamp, command: 'do', step: 4 }, /step has to be text/],
    [{ ...stamp, command: 'park', as: 'idle' }, /“as” has to be “usable” or “shut”/],
    [{ ...stamp, command: 'lapse', what: 'rain' }, /“what” has to be one of: time, leftSight/],
    [
      { ...stamp, command: 'notDone', step: 'x', why: 'y'.repeat(4001) },
      /longer than 4000 characters/,
    ],
    [{ ...stamp, command: 'tingle', what: '\ud800' }, /holds half a character/],
  ])('%j is said to be wrong', (value, sentence) => {
    expect(says(parseCommand(value))).toMatch(sentence);
  });

  test('says what is wrong inside the people, cards and ends of it', () => {
    const open = { command: 'open', site: 'Weir Road' };
    expect(says(read({ ...open, people: 'mara' }))).toMatch(/people has to be a list/);
    expect(says(read({ ...open, people: [{ id: 'mara', age: 4 }] }))).toMatch(
      /“people\[0\]\.age” is not known; there are: id, name, competence/,
    );
    expect(says(read({ ...open, instruments: [{ id: 'm', counts: 1.5 }] }))).toMatch(
      /whole number/,
    );
    expect(says(read({ ...open, instruments: [{ id: 'm', counts: -1 }] }))).toMatch(
      /cannot be negative/,
    );
    expect(says(read({ ...open, instruments: Array(1001).fill('m') }))).toMatch(
      /more than 1000 items/,
    );
    const park = { command: 'park', as: 'shut', told: 'x', owner: 'y', until: 'z' };
    expect(says(read({ ...park, left: [{ end: 'cover', why: 'w', how: 1 }] }))).toMatch(
      /left\[0\]\.how/,
    );
  });

  test('reads by whose hand somebody joins, and no other fields there', () => {
    const join = { command: 'join', person: 'ode' };
    expect(command({ ...join, hand: { by: 'pin' } }).hand).toEqual({ by: 'pin' });
    const hand = { by: 'code', own: 'k', nonce: 'n', until: 'u', signature: 's' };
    expect(command({ ...join, hand }).hand).toEqual(hand);
    expect(says(read({ ...join, hand: { ...hand, own: undefined } }))).toMatch(/hand\.own/);
    expect(says(read({ ...join, hand: { ...hand, pin: '2580' } }))).toMatch(/hand\.pin/);
    expect(says(read({ ...join, hand: { by: 'pin', own: 'k' } }))).toMatch(/hand\.own/);
    expect(says(read({ ...join, hand: { by: 'voice' } }))).toMatch(/“pin” or “code”/);
  });

  test('takes what a person may write in two ways', () => {
    expect(command({ command: 'join', person: 'ode' }).person).toEqual({
      id: 'ode',
      competence: [],
    });
    expect(command({ command: 'leave', person: { id: 'ode' } }).person).toBe('ode');
    expect(command({ command: 'tingle', why: 'a prickle' }).what).toBe('a prickle');
    expect(command({ command: 'downTools', what: 'smoke' }).why).toBe('smoke');
    expect(command({ command: 'handOver', to: 'ode', lock: 31 }).lock).toBe('31');
    expect(command({ command: 'lapse', what: 'leftSight', minutes: 29.5 }).minutes).toBe(30);
    const window = { command: 'window', source: 'mains', reason: 'why', readBack: true };
    expect(command(window).readBack).toBe('yes');
    expect(command({ ...window, readBack: false }).readBack).toBe('');
    const facts = {
      command: 'removeLockFor',
      lock: 31,
      away: true,
      informed: true,
      tried: 'telephone',
    };
    expect(command(facts)).toMatchObject({ away: 'yes', tried: ['telephone'], authorizedBy: '' });
    const card = { id: 'm', category: 'CAT III', volts: '600 V', percent: 0.5, counts: '2' };
    const open = { command: 'open', site: 's', people: ['mara'], instruments: [card], demo: true };
    expect(command(open).instruments).toEqual([
      { id: 'm', category: 'CAT III', volts: '600', due: '', percent: '0.5', counts: 2 },
    ]);
    const head = 'ab'.repeat(32);
    expect(command({ ...open, previous: { job: 'j', head } }).previous).toEqual({ job: 'j', head });
    expect(command({ command: 'do', step: 's', result: null, acted: '10:02' })).toMatchObject({
      result: {},
      acted: '10:02',
    });
  });
});

describe('a result', () => {
  test.each([
    [
      { value: 27.4, unit: 'ohm' },
      { value: '27.4', unit: 'ohm' },
    ],
    [{ value: '27.4 ohm' }, { value: '27.4', unit: 'ohm' }],
    [
      { value: 'OL', unit: 'Mohm' },
      { value: 'OL', unit: 'Mohm' },
    ],
    [
      { pairs: { 'L-N': '0.1 V', 'L-G': { value: 0, unit: 'V' } } },
      { pairs: { 'L-N': { value: '0.1', unit: 'V' }, 'L-G': { value: '0', unit: 'V' } } },
    ],
    [
      { pairs: { 'L-N': { value: '0.1 V' }, 'N-G': 'OL' } },
      { pairs: { 'L-N': { value: '0.1', unit: 'V' }, 'N-G': { value: 'OL', unit: '' } } },
    ],
    [
      { lock: 7, position: 18 },
      { lock: '7', position: '18' },
    ],
    [{ connectors: [{ id: 'w1' }] }, { connectors: [{ id: 'w1', label: 'w1', terminal: '' }] }],
    [
      {
        connectors: [
          {
            id: 1,
            label: 'a',
            terminal: 'T',
            wire: 'red',
            pin: { photo: 'ab'.repeat(32), x: 5, y: 6 },
          },
        ],
      },
      {
        connectors: [
          {
            id: '1',
            label: 'a',
            terminal: 'T',
            wire: 'red',
            pin: { photo: 'ab'.repeat(32), x: 5, y: 6 },
          },
        ],
      },
    ],
    [
      { before: { expected: 120, shown: 119.6, unit: 'V' } },
      { before: { expected: '120', shown: '119.6', unit: 'V' } },
    ],
    [
      { people: ['mara'], tools: 3, told: 'the keeper' },
      { people: ['mara'], tools: 3, told: ['the keeper'] },
    ],
  ])('%j is read', (result, expected) => {
    const found = does(result);
    if (!found.ok) throw new Error(found.says);
    expect((found.command as { result?: unknown }).result).toEqual(expected);
  });

  test.each([
    [[], /result has to be an object/],
    [{ colour: 'red' }, /“result\.colour” is not a field of a result/],
    [{ constructor: 1 }, /is not a field of a result/],
    [{ value: Number.NaN }, /not an ordinary number/],
    [{ value: true }, /result\.value has to be text/],
    [{ sources: 1.5 }, /result\.sources has to be a whole number/],
    [{ tools: -1 }, /cannot be negative/],
    [{ photos: ['IMG_4.jpg'] }, /SHA-256 of what is stored/],
    [
      { pairs: { 'L-N': { volts: 3 } } },
      /“result\.pairs\.L-N\.volts” is not known; there are: value, unit/,
    ],
    [{ pairs: JSON.parse('{"__proto__": "0 V"}') as object }, /no usable name/],
    [{ before: { expected: 1, shown: 1 } }, /result\.before\.unit has to be text/],
    [{ connectors: [{ label: 'red' }] }, /result\.connectors\[0\]\.id has to be text/],
    [{ connectors: 'all' }, /has to be a list/],
    [
      { connectors: [{ id: 'w', pin: { photo: 'x', x: 1, y: 1 } }] },
      /pin\.photo has to be the SHA-256/,
    ],
  ])('%j is said to be wrong', (result, sentence) => {
    expect(says(does(result))).toMatch(sentence);
  });
});

describe('whatever is handed in', () => {
  const names = fc.constantFrom(
    ...[
      'open',
      'do',
      'notDone',
      'correct',
      'caution',
      'lapse',
      'join',
      'leave',
      'window',
      'endWindow',
    ],
    ...['park', 'resume', 'handOver', 'removeLockFor', 'tingle', 'nearMiss', 'downTools', 'refuse'],
    ...['evidenceHold', 'close', 'amend'],
  );
  const field = fc.constantFrom(
    ...[
      'site',
      'people',
      'instruments',
      'step',
      'result',
      'why',
      'what',
      'source',
      'minutes',
      'person',
    ],
    ...[
      'reason',
      'readBack',
      'again',
      'as',
      'told',
      'owner',
      'until',
      'left',
      'lock',
      'to',
      'tried',
      'text',
    ],
  );

  test.prop([fc.anything()], { numRuns: 200 })('is read or answered with a sentence', (value) => {
    const found = parseCommand(value);
    if (!found.ok) expect(found.says).toMatch(/[.]$/u);
  });

  test.prop([names, fc.dictionary(field, fc.jsonValue())], { numRuns: 400 })(
    'in the fields of a command is read or answered with a sentence',
    (name, fields) => {
      const found = parseCommand({ ...stamp, command: name, ...fields });
      if (!found.ok) {
        expect(found.says).toMatch(/^[^]+[.]$/u);
        return;
      }
      // What was read is data that goes through JSON as it is, with no fraction in it.
      const text = JSON.stringify(found.command);
      expect(parseCommand(JSON.parse(text) as unknown)).toEqual({
        ok: true,
        command: JSON.parse(text) as unknown,
      });
    },
  );
});
