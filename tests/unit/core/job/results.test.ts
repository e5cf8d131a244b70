/** What is said of a step, by its kind: taken, or refused and kept because it shows danger. */
import { describe, expect, test } from 'vitest';
import {
  and,
  at,
  does,
  dryer,
  goodResult,
  kiln,
  lamp,
  METER,
  refused,
  when,
  type Job,
  both,
} from '../../../support/job-builder.ts';

const meter = METER.id;
const ok = { expected: '120', shown: '119.6', unit: 'V' };
/** A weak battery has shown 177 V on a 120 V source (a published field case). */
const weak = { expected: '120', shown: '177', unit: 'V' };
const V = (value: string, unit = 'V') => ({ value, unit });
const zero = { 'L1-L2': V('0'), 'L1-N': V('0'), 'L2-N': V('0'), 'L1-G': V('0'), 'L2-G': V('0') };
const dead = (more: object = {}) => ({
  pairs: zero,
  before: ok,
  after: ok,
  instrument: meter,
  ...more,
});

describe('a result that is taken', () => {
  test.each([
    [
      'a breaker by its place',
      () => at(kiln(), 'breaker-off'),
      'breaker-off',
      { operated: 'Breaker 18' },
    ],
    ['a device that is not named', () => at(kiln(), 'breaker-off'), 'breaker-off', {}],
    [
      'a tag with one more measure',
      () => at(dryer(), 'fuse-tag', both),
      'fuse-tag',
      { tag: 'Off', measure: 'the fuse is in my pocket' },
    ],
    [
      'a temperature under zero',
      () => at(kiln(), 'cool'),
      'cool',
      { value: '-60', unit: '°C', instrument: meter },
    ],
    [
      'degrees Fahrenheit',
      () => at(kiln(), 'cool'),
      'cool',
      { value: '75', unit: '°F', instrument: meter },
    ],
    [
      'millivolts',
      () => at(kiln(), 'dead'),
      'dead',
      dead({ pairs: { ...zero, 'L1-N': V('300', 'mV') } }),
    ],
    [
      'a pair named the other way round',
      () => at(kiln(), 'dead'),
      'dead',
      dead({ pairs: { ...zero, 'L1-N': undefined, 'N-L1': V('0') } }),
    ],
    [
      'a free reading',
      () => at(dryer(), 'air', both),
      'air',
      { value: '21', unit: '°C', instrument: meter },
    ],
    [
      'a free reading beyond the meter',
      () => at(dryer(), 'air', both),
      'air',
      { value: 'OL', instrument: meter },
    ],
    ['a stated release', () => at(dryer(), 'idler', both), 'idler', {}],
    ['a roll call of one without names', () => at(kiln(), 'clear'), 'clear', { tools: 4 }],
  ])('%s', (_, job, step, result) => {
    const clean = JSON.parse(JSON.stringify(result)) as object;
    and(job(), does(step, clean));
  });

  test('a pair is recorded under the name that the list gives it', () => {
    const pairs = { ...zero, 'N-L1': V('0.1') } as Record<string, unknown>;
    delete pairs['L1-N'];
    const job = and(at(kiln(), 'dead'), does('dead', dead({ pairs })));
    expect(job.events.at(-1)).toMatchObject({ body: { result: { pairs: { 'L1-N': V('0.1') } } } });
  });

  test('a reading is judged with what the meter leaves open', () => {
    const job = at(kiln(), 'element-ohms');
    const read = (value: string) =>
      and(job, does('element-ohms', { value, unit: 'ohm', instrument: meter })).events.at(-1)?.body;
    // 240 V and 2400 W are 24 ohm; IEC 60335-1 table 1 lets the power stray.
    expect(read('24.1')).toMatchObject({
      result: { verdict: 'pass', says: expect.stringMatching(/inside/u) as string },
    });
    expect(read('60.0')).toMatchObject({ result: { verdict: 'fail' } });
    expect(read('OL')).toMatchObject({ result: { verdict: 'fail' } });
    expect(read('unstable')).toMatchObject({ result: { verdict: 'cannotTell' } });
  });

  test('contacts are named by their pattern', () => {
    const job = at(lamp(), 'switch');
    const read = (rest: string, pressed: string) =>
      and(job, does('switch', { rest, pressed })).events.at(-1)?.body;
    expect(read('O', 'C')).toMatchObject({ result: { verdict: 'pass' } });
    expect(read('C', 'C')).toMatchObject({ result: { verdict: 'fail' } });
  });
});

describe('a result that shows danger is refused, and kept', () => {
  test('a live case stops every hand until it reads clear', () => {
    const live = { pairs: { 'case-ground': V('12') }, before: ok, instrument: meter };
    const turn = when(at(kiln(), 'case'), does('case', live));
    refused(turn, 'case-live', /reads 12 V; below 5 V passes, 30 V and above stops the job/);
    expect(turn.job.events.at(-1)).toMatchObject({ body: { caseLive: 'mains', result: live } });
    expect(turn.job.state.caseLive).toBe(1);
    expect(and(turn.job, does('case', goodResult(turn.job, 'case'))).state.caseLive).toBe(0);
  });

  test('a live pair makes the source unknown, whether or not the list asks for the pair', () => {
    for (const pair of ['L1-N', 'N-G']) {
      const turn = when(
        at(kiln(), 'dead'),
        does('dead', dead({ pairs: { ...zero, [pair]: V('118') } })),
      );
      refused(turn, 'not-dead', new RegExp(`Pair ${pair} reads 118 V; dead is below 2 V`));
      expect(turn.job.events.at(-1)).toMatchObject({ body: { live: 'mains' } });
      expect(turn.job.state.points).toEqual([2, 2]);
    }
  });

  test('a live pair is not hidden behind a dead one of the same name turned round', () => {
    const pairs = { ...zero, 'N-L1': V('118') };
    refused(
      when(at(kiln(), 'dead'), does('dead', dead({ pairs }))),
      'not-dead',
      /N-L1 reads 118 V/,
    );
  });

  test('a meter that shows 177 V on 120 V is benched with what it read since its last check', () => {
    const cooled = and(
      at(kiln(), 'cool'),
      does('cool', { value: '24', unit: '°C', instrument: meter }),
    );
    const turn = when(cooled, does('dead', dead({ after: weak })));
    refused(turn, 'instrument', /showed 177 V where 120 V is known: it is benched/);
    expect(turn.job.events.at(-1)).toMatchObject({ body: { doubt: meter } });
    expect(turn.job.state.instruments[0]?.doubted).toBe(true);
    refused(when(turn.job, does('cover-off')), 'stored', /was released, but that has lapsed/);
    refused(
      when(turn.job, does('cool', { value: '24', unit: '°C', instrument: meter })),
      'instrument',
      /in doubt/,
    );
    const proved = and(turn.job, does('case', goodResult(cooled, 'case')));
    expect(proved.state.instruments[0]?.doubted).toBe(false);
  });
});

describe('an instrument', () => {
  const opened = (card: object): Job => {
    const job = at(kiln(), 'case');
    const instruments = [{ card: { ...METER, ...card }, doubted: false }];
    return { ...job, state: { ...job.state, instruments } };
  };
  test.each([
    [{ category: 'CAT II' }, /is CAT II; this source needs CAT III/],
    [{ volts: '150' }, /rated 150 V; the source has 240 V/],
    [{ due: '2026-11-24' }, /due for calibration on 2026-11-24/],
    [{ due: '' }, /no calibration date/],
    [{ volts: '' }, /no rated voltage/],
  ])('%j is not fit for this source', (card, says) => {
    const job = opened(card);
    refused(when(job, does('case', goodResult(job, 'case'))), 'instrument', says);
  });

  test('is fit on its last day, and with its volts written with a unit', () => {
    const job = opened({ due: '2026-11-25', volts: '600 V' });
    and(job, does('case', goodResult(job, 'case')));
  });

  test('that is past its day reads nothing else either', () => {
    const cool = at(kiln(), 'cool');
    const old = { card: { ...METER, due: '2026-01-31' }, doubted: false };
    const job = { ...cool, state: { ...cool.state, instruments: [old] } };
    refused(
      when(job, does('cool', { value: '24', unit: '°C', instrument: meter })),
      'instrument',
      /was due for calibration on 2026-01-31/,
    );
  });
});
