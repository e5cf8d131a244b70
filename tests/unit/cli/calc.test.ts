import { describe, expect, test } from 'vitest';
import { run } from '../../../src/cli/main.ts';
import { heard } from '../../support/heard.ts';

interface Document {
  ok: boolean;
  error?: string;
  inputs: Record<string, string>;
  result: Record<string, unknown>;
  source: string;
  origin: string;
}

async function calc(line: string): Promise<Document & { status: number; said: string }> {
  const { io, documents, complaints } = heard();
  const status = await run(['calc', ...line.split(' '), '--json'], io);
  expect(documents).toHaveLength(1);
  return { ...(documents[0] as Document), status, said: complaints.join(' ') };
}

/** Published figures; the sources stand beside the same figures in tests/vectors. */
const figures: readonly (readonly [string, string, number, number])[] = [
  ['discharge --from 12kV --to 600V --tau 10ms', 'seconds', 0.03, 1e-4],
  ['discharge --from 4000V --to 50V --capacitance 1uF --resistance 10Mohm', 'seconds', 43.82, 0.01],
  ['discharge --from 4000V --to 50V --capacitance 1uF --resistance 10Mohm', 'joules', 8, 1e-9],
  [
    'discharge --from 4000V --to 50V --capacitance 1uF --resistance 10Mohm --meter 10Mohm',
    'tau',
    5,
    1e-9,
  ],
  ['discharge --from 12V --after 4s --tau 4s', 'volts', 4.41, 0.005],
  ['discharge --from 370V --to 10V --capacitance 45uF --meter 10Mohm', 'tau', 450, 1e-9],
  ['cooling --from 205°F --ambient 73°F --k 0.079 --at 5min', 'temperature', 161.926, 0.001],
  ['cooling --from 205F --ambient 73F --k 0.079/min --at 5min', 'temperature', 161.926, 0.001],
  [
    'cooling --from 200degF --ambient 70degF --to 175degF --then 180degF --after 2min',
    'minutes',
    2.557,
    0.001,
  ],
  [
    'cooling --from 200degF --ambient 70degF --to 155degF --then 180degF --after 2min',
    'minutesLeft',
    3.087,
    0.001,
  ],
  ['cooling --from 60C --ambient -5C --to 43C --k 0.05', 'minutes', 6.063, 0.001],
  [
    'plug-pins --volts 230V --capacitance 0.47uF --resistance 942kohm',
    'largestBleeder',
    942150,
    10,
  ],
  ['burn --time 1min', 'celsius', 51, 0],
  ['element --volts 240V --watts 5500W', 'ohms', 10.47, 0.01],
  ['element --volts 240V --watts 5500W', 'least', 9.974, 0.001],
  ['element --volts 240V --watts 5500W', 'most', 11.636, 0.001],
  ['element --volts 240V --watts 5500W --measured 6ohm', 'amps', 40, 1e-9],
  ['winding --cold 80ohm --cold-at 20°C --hot 100ohm --metal copper', 'temperature', 83.63, 0.01],
  ['winding --cold 80ohm --cold-at 20°C --hot 100ohm --metal copper', 'rise', 63.63, 0.01],
  [
    'winding --cold 80ohm --cold-at 20°C --hot 100ohm --metal aluminium-225',
    'temperature',
    81.25,
    0.01,
  ],
  ['deviation --watts 201W --load heating', 'mostWatts', 221, 1e-9],
  ['deviation --watts 1000W --load heating', 'leastWatts', 900, 1e-9],
  ['capacitor --rated 45uF --measured 44uF', 'least', 42.3, 1e-9],
  ['conductor --awg 12 --metal copper --at 20°C --length 1000ft', 'ohms', 1.628, 0.0005],
  ['cord --length 2m --section 1mm2', 'ohms', 2 / 58, 1e-12],
  [
    'verdict --shown 120.0 --percent 0.7 --counts 2 --resolution 0.1 --most 130',
    'low',
    118.96,
    0.001,
  ],
  [
    'verdict --shown 120.0V --percent 0.7 --counts 2 --resolution 0.1V --most 130V',
    'high',
    121.04,
    0.001,
  ],
  [
    'verdict --shown 2.000V --percent 0.08 --counts 2 --resolution 1mV --most 3V',
    'low',
    1.9964,
    1e-9,
  ],
  ['conformance --mean -5.47 --u 0.05 --most -5.40', 'inside', 0.91924, 1e-5],
  ['conformance --mean 10V --u 400mV --least 9V --most 11V', 'outside', 0.01242, 1e-5],
  ['guard-band --u 1 --factor 0.83', 'worstRisk', 0.04846, 1e-5],
  ['bond --length 5m --section 1.5mm2 --rule en50678', 'ohms', 0.3, 1e-12],
  ['bond --length 12.5 --section 1.5 --rule en50678', 'ohms', 0.4, 1e-12],
  ['bond --length 2m --section 1mm2 --rule uk', 'ohms', 0.1 + 2 / 58, 1e-12],
  ['bond --length 2m --section 1mm2 --rule iec60335', 'ohms', 0.1, 1e-12],
  ['insulation --class II --rule uk', 'ohms', 2e6, 0],
  ['leakage --class I --rule en50678', 'amps', 0.0035, 1e-12],
  ['microwave --when in-service', 'milliwattsPerSquareCentimetre', 5, 0],
  ['lift --h 1.0 --v 0.94 --d 0.87 --a 1.0 --f 0.88 --c 0.95 --unit lb', 'limit', 34.9, 0.05],
  ['lift --h 25cm --v 75cm --d 25cm --a 0deg --f 1 --c good --unit kg', 'limit', 23, 1e-9],
];

describe('stillwire calc', () => {
  test.each(figures)('%s: %s', async (line, name, expected, tolerance) => {
    const { ok, status, result, source, origin } = await calc(line);
    expect({ ok, status }).toEqual({ ok: true, status: 0 });
    expect(Math.abs(Number(result[name]) - expected)).toBeLessThanOrEqual(tolerance);
    expect(source.length).toBeGreaterThan(3);
    expect(['code', 'maker', 'house', 'default', 'formula']).toContain(origin);
  });

  test.each([
    ['element --volts 240V --watts 5500W --measured 6ohm', { verdict: 'fail' }],
    ['element --volts 240V --watts 5500W --measured 10.5ohm', { verdict: 'pass' }],
    ['deviation --watts 25W --load heating', { leastWatts: null, mostWatts: 30 }],
    [
      'verdict --shown 1.02ohm --percent 0.9 --counts 3 --resolution 0.01ohm --most 1ohm',
      { verdict: 'cannotTell' },
    ],
    [
      'verdict --shown 1.02 --percent 0.9 --counts 3 --resolution 0.01 --most 1',
      { verdict: 'cannotTell' },
    ],
    [
      'verdict --shown 1.10 --percent 0.9 --counts 3 --resolution 0.01 --most 1 --lead 0.3',
      { verdict: 'pass' },
    ],
    [
      'verdict --shown 10ohm --percent 1 --counts 1 --resolution 1 --least 1Mohm',
      { verdict: 'fail', ask: { unit: 'Mohm' } },
    ],
    ['contacts --terminals 3 --rest CO --pressed OC', { name: 'healthy', code: 'healthy' }],
    ['contacts --terminals 3 --rest CO --pressed OO', { code: 'no-open', healthy: false }],
    ['contacts --terminals 2 --rest O --pressed C --kind NC', { code: 'reversed' }],
    ['contacts --terminals 4 --rest CO --pressed CC', { code: 'a-welded' }],
    [
      'terminals --terminals 3 --beeps 12r+,23p+',
      { named: { kind: 'changeOver', roles: ['NC', 'COM', 'NO'] } },
    ],
    [
      'terminals --terminals 4',
      { left: 36, named: null, next: { terminals: [1, 2], state: 'rest' } },
    ],
    ['supply --l1l2 240V --l1n 192V --l2n 48V', { code: 'neutral-open' }],
    ['supply --l1l2 0 --l1n 120 --l2n 120', { code: 'same-leg' }],
    ['supply --l1l2 240 --l1n 120 --l2n 120 --l1g 0 --l2g 240 --ng 120', { code: 'ground-live' }],
    ['glove --class 00 --volts 240V', { ok: true }],
    ['glove --class 00 --volts 501V', { ok: false, codes: ['class-too-low'] }],
    ['glove --class 0 --volts 1000V', { ok: true }],
    [
      'glove --class 0 --volts 240V --tested 2026-01-10 --issued 2026-01-20 --on 2026-07-12',
      { ok: false },
    ],
    ['glove --class 0 --volts 240V --tested 2025-10-14 --on 2026-09-14', { ok: true }],
    ['meter --expected 120V --shown 177V', { ok: false }],
    ['meter --expected 120V --shown 121V', { ok: true }],
    [
      'meter --category CAT2 --volts 600V --due 2027-01-01 --source-category CAT3 --source-volts 240V --on 2026-01-01',
      { ok: false },
    ],
    ['plug-pins --volts 230V --capacitance 0.47uF --resistance 950kohm', { holds: false }],
    ['cut --grams 1500', { level: 'A4' }],
    ['cut --newtons 14.9', { level: 'C' }],
    ['windings --r12 3ohm --r13 7ohm --r23 10ohm', { common: '1', start: '3', run: '2' }],
    ['capacitor --rated 45uF --measured 40uF', { verdict: 'fail' }],
    [
      'lift --h 15in --v 0.94 --d 0.87 --a 45 --f 0.88 --c poor --unit lb --load 20lb',
      { multipliers: { h: 0.67, a: 0.86, c: 0.9 } },
    ],
  ])('%s', async (line, expected) => {
    const { ok, status, result } = await calc(line);
    expect({ ok, status }).toEqual({ ok: true, status: 0 });
    expect(result).toMatchObject(expected);
  });

  test.each([
    ['discharge', '--from'],
    ['discharge --from 12kV --to 600V', '--tau'],
    ['discharge --from 12kV --to 600V --tau 10', '--tau: write the unit'],
    ['discharge --from 12kV --tau 10ms', '--to V'],
    ['discharge --from 12kV --to 600V --tau 10ms --meter 10Mohm', 'not both'],
    ['discharge --from 12kV --to 0V --tau 10ms', 'more than 0'],
    ['discharge --from 12kV --to 600V --tau 0s', '--tau must be more'],
    ['discharge --from 12kohm --to 600V --tau 10ms', 'a resistance; this asks for a voltage'],
    ['discharge --from 370V --to 10V --capacitance 45uF', 'Nothing drains'],
    ['cooling --from 205F --ambient 73F', '--to T'],
    [
      'cooling --from 205 --ambient 73F --to 100F --k 1',
      '--from: write the unit beside the number (°C',
    ],
    ['cooling --from 205F --ambient 73F --to 100F', '--k'],
    ['cooling --from 205F --ambient 73F --to 60F --k 0.1', 'never cools'],
    ['element', '--volts, --watts'],
    ['element --volts 240V --watts 0', 'rated power'],
    ['winding --cold 80ohm --cold-at 20C --hot 100ohm --metal tin', 'aluminium-225'],
    ['deviation --watts 100W --load light', 'heating, combined, motor'],
    ['verdict --shown 1 --percent 1 --counts 1 --resolution 1', '--least or --most'],
    ['verdict --shown 1 --percent -1 --counts 1 --resolution 1 --most 2', '--percent'],
    [
      'verdict --shown 1 --percent 1 --counts 1 --resolution 1 --least 3 --most 2',
      '--least is more',
    ],
    ['verdict --shown -3ohm --percent 1 --counts 1 --resolution 1 --most 2', 'never below zero'],
    ['verdict --shown 5zorg --percent 1 --counts 1 --resolution 1 --most 2', 'not a unit'],
    ['conformance --mean 1 --u 1', '--least or --most'],
    ['conformance --mean 1 --u -1 --most 2', 'below zero'],
    ['conformance --mean x --u 1 --most 2', '--mean'],
    ['contacts --terminals 3 --rest C --pressed OC', 'two letters'],
    ['contacts --terminals 7 --rest C --pressed O', '2, 3 or 4'],
    ['terminals --terminals 3 --beeps 14r+', '12r+'],
    ['terminals --terminals 3 --beeps 11r+', '12r+'],
    ['supply --l1l2 240 --l1n 120', '--l2n'],
    ['supply --l1l2 240 --l1n -120 --l2n 120', 'at least 0'],
    ['meter --expected 0 --shown 120', 'known source'],
    ['meter --shown 120', '--expected'],
    ['bond --length 5m --section 1.5mm2 --rule iso', 'en50678, uk, iec60335'],
    ['bond --length 5m --section 0mm2 --rule uk', 'section'],
    ['insulation --class IV --rule uk', 'I, II, III'],
    ['glove --class 9 --volts 240V', '00, 0, 1'],
    ['glove --class 0 --volts 240V --on 2026-02-30 --tested 2026-01-01', 'not a date'],
    ['cut --grams 100 --newtons 5', 'one of them'],
    ['lift --h 1.0', '--v, --d, --a, --f, --c'],
    ['lift --h 1 --v 0.9 --d 1 --a 1 --f 1 --c fair', 'depends on the height'],
    ['lift --h 1 --v 0.9 --d 1 --a x --f 1 --c good', 'degrees'],
    ['conductor --awg 13 --metal copper --at 20C --length 10m', 'AWG 13'],
    ['capacitor --rated 0uF', 'more than 0'],
    ['burn --time 0s', 'more than 0'],
    ['wizardry', 'There is no calculation “wizardry”'],
    ['element 240V', '“240V” stands alone'],
    ['element --wats 5', '--wats'],
  ])('%s cannot be used', async (line, sentence) => {
    const { ok, status, error, said } = await calc(line);
    expect({ ok, status }).toEqual({ ok: false, status: 2 });
    expect(error).toContain(sentence);
    expect(said).toBe(error);
  });

  test('repeats the inputs as they were written', async () => {
    const { inputs } = await calc('discharge --from 12kV --to 600V --tau 10ms');
    expect(inputs).toEqual({ from: '12kV', to: '600V', tau: '10ms' });
  });

  test('speaks plainly without --json, and never drops the warning of a wait', async () => {
    const { io, printed, documents } = heard();
    expect(
      await run(['calc', 'discharge', '--from', '4 kV', '--to', '50V', '--tau', '10 s'], io),
    ).toBe(0);
    expect(documents).toEqual([]);
    expect(printed.join(' ')).toMatch(
      /43\.82 s until 50 V .* A wait is no proof: measure what is left\./u,
    );
    expect(printed.at(-1)).toMatch(/^Source: /u);
  });

  test('without a name says which there are', async () => {
    const { io, complaints } = heard();
    expect(await run(['calc'], io)).toBe(2);
    expect(complaints[0]).toContain('discharge, cooling');
  });
});
