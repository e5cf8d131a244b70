import { describe, expect, test } from 'vitest';
import type { Instrument, StepResult } from '#lib/core/job/events.ts';
import { DEAD, POLISHER, polisherWith } from '../../../support/polisher.ts';
import { MARA, METER, broken, did, opened, openedWith } from '../../../support/trace.ts';

const found = (result: StepResult, meter: Partial<Instrument> = {}, checklist = POLISHER) =>
  broken(checklist, [openedWith([MARA], [{ ...METER, ...meter }]), did('dead', result)]).filter(
    (one) => one.startsWith('P6 '),
  );

const check = (expected: string, shown: string, unit = 'V') => ({ expected, shown, unit });
const pair = (value: string, unit = 'V') => ({ value, unit });

describe('P6: a proof needs a proven meter', () => {
  test('passes live, dead, live with a fit meter', () => {
    expect(found(DEAD)).toEqual([]);
  });

  test('is broken by a bare “0 V”', () => {
    expect(found({ pairs: { 'L-N': pair('0') } })).toEqual(['P6 dead']);
  });

  // 10 % of a known source is common practice, no source; a weak battery has shown 177 V and 358 V
  // where 120 V and 240 V were there.
  test.each([
    [check('120', '108')],
    [check('120', '132')],
    [check('230', '230')],
    [check('0.23', '229', 'kV')],
  ])('takes the known source %j only when within 10 %%', (known) => {
    const within = known.unit === 'V';
    expect(found({ ...DEAD, before: known })).toEqual(within ? [] : ['P6 dead']);
    expect(found({ ...DEAD, after: known })).toEqual(within ? [] : ['P6 dead']);
  });

  test.each([
    [check('120', '177')],
    [check('240', '358')],
    [check('120', '107.9')],
    [check('120', '132.1')],
    [check('0', '0')],
    [check('120', 'OL')],
    [check('120', '120', 'ohm')],
    [undefined],
  ])('is broken by the known source %j', (known) => {
    const { before: _before, ...noBefore } = DEAD;
    const { after: _after, ...noAfter } = DEAD;
    expect(found(known ? { ...DEAD, before: known } : noBefore)).toEqual(['P6 dead']);
    expect(found(known ? { ...DEAD, after: known } : noAfter)).toEqual(['P6 dead']);
  });

  test.each<[string, Partial<Instrument>]>([
    ['past its calibration date', { due: '2026-11-24' }],
    ['of a lower category', { category: 'CAT II' }],
    ['of no known category', { category: 'CAT 3' }],
    ['rated below the source', { volts: '229 V' }],
    ['rated in no volts', { volts: '600 ohm' }],
    ['of another job', { id: 'T-9' }],
  ])('is broken by a meter %s', (_, meter) => {
    expect(found(DEAD, meter)).toEqual(['P6 dead']);
  });

  test.each<[string, Partial<Instrument>]>([
    ['due on the day itself', { due: '2026-11-25' }],
    ['of a higher category', { category: 'CAT IV' }],
    ['rated as the source', { volts: '230' }],
    ['rated in kilovolts', { volts: '1 kV' }],
  ])('passes with a meter %s', (_, meter) => {
    expect(found(DEAD, meter)).toEqual([]);
  });

  test.each<[string, StepResult['pairs']]>([
    ['a missing pair', { 'L-N': pair('0'), 'L-G': pair('0') }],
    ['a pair at the limit', { ...DEAD.pairs, 'N-G': pair('2') }],
    ['a negative pair beyond it', { ...DEAD.pairs, 'N-G': pair('-2') }],
    ['a further pair that is live', { ...DEAD.pairs, 'L-case': pair('118') }],
    ['an unstable pair', { ...DEAD.pairs, 'N-G': pair('unstable') }],
    ['a pair in another unit', { ...DEAD.pairs, 'N-G': pair('0', 'ohm') }],
    ['a pair in kilovolts', { ...DEAD.pairs, 'N-G': pair('0.12', 'kV') }],
    ['no pairs', {}],
  ])('is broken by %s', (_, pairs) => {
    expect(found({ ...DEAD, pairs: pairs ?? {} })).toEqual(['P6 dead']);
  });

  test('is broken where nothing says what would be dead', () => {
    const { dead: _dead, ...mains } = POLISHER.sources.mains!;
    const unsaid = polisherWith({ sources: { ...POLISHER.sources, mains } });
    expect(found(DEAD, {}, unsaid)).toEqual(['P6 dead']);
    const { nominal: _nominal, ...nameless } = POLISHER.sources.mains!;
    expect(
      found(DEAD, {}, polisherWith({ sources: { ...POLISHER.sources, mains: nameless } })),
    ).toEqual(['P6 dead']);
  });

  test('asks no proof of other steps', () => {
    expect(broken(POLISHER, [opened(MARA), did('told')])).toEqual([]);
  });
});
