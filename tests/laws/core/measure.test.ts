import { fc, test } from '@fast-check/vitest';
import { describe, expect } from 'vitest';
import type { AcceptOne } from '../../../src/lib/core/measure/accept.ts';
import { judgeContacts } from '../../../src/lib/core/measure/contacts.ts';
import { diagnose, mayOrder, type Suspects } from '../../../src/lib/core/measure/diagnosis.ts';
import {
  accuracyOf,
  fitFor,
  ratedVolts,
  readCategory,
  type InstrumentCard,
} from '../../../src/lib/core/measure/instrument.ts';
import { limitInForce } from '../../../src/lib/core/measure/limits.ts';
import { fromSi, parseQuantity, siOf } from '../../../src/lib/core/measure/quantity.ts';
import { scaleOf } from '../../../src/lib/core/measure/scale.ts';
import { judgeSupply } from '../../../src/lib/core/measure/supply.ts';
import {
  allProbes,
  closes,
  findTerminals,
  type Beep,
} from '../../../src/lib/core/measure/terminal-finder.ts';
import { formsOf } from '../../../src/lib/core/measure/terminal-forms.ts';
import { conformance } from '../../../src/lib/core/measure/uncertainty.ts';
import { dimensions, symbolsOf, type Dimension } from '../../../src/lib/core/measure/units.ts';
import { judgeReading } from '../../../src/lib/core/measure/verdict.ts';
import {
  coolingMinutes,
  dischargeSeconds,
  temperatureAfter,
  voltsAfter,
} from '../../../src/lib/core/measure/waits.ts';
import { resistanceAt, windingTemperature } from '../../../src/lib/core/measure/windings.ts';
import { valueOf } from '../../support/outcome.ts';

const dimension = fc.constantFrom(...(Object.keys(dimensions) as Dimension[]));
const unit = dimension.chain((name) =>
  fc.constantFrom(...symbolsOf(name)).map((symbol) => ({ name, symbol })),
);
const decimal = fc
  .tuple(fc.integer({ min: 0, max: 999_999 }), fc.integer({ min: 0, max: 4 }))
  .map(([digits, places]) => (digits / 10 ** places).toFixed(places));
const between = (min: number, max: number) =>
  fc.double({ min, max, noNaN: true, noDefaultInfinity: true });

describe('quantities', () => {
  test.prop([decimal, unit, fc.constantFrom('', ' ', '  ')])(
    'are kept exactly as written, whatever the unit',
    (number, { name, symbol }, gap) => {
      const text = `${number}${/^\d/u.test(symbol) && gap === '' ? ' ' : gap}${symbol}`;
      const read = parseQuantity(text);
      expect(read).toMatchObject({
        ok: true,
        quantity: { text, number, unit: symbol, dimension: name },
      });
    },
  );

  test.prop([unit, between(-200, 1e6)])('come back from SI', ({ name, symbol }, value) => {
    const back = fromSi(siOf(value, symbol), symbol, name) ?? NaN;
    expect(Math.abs(back - value)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(value)) + 1e-9);
  });

  test.prop([fc.string()])('never throw on any text', (text) => {
    const read = parseQuantity(text);
    if (read.ok) expect(Number.isFinite(read.quantity.si)).toBe(true);
    else expect(read.problem.says.length).toBeGreaterThan(10);
  });
});

const anyValue = fc.oneof(
  fc.anything() as fc.Arbitrary<string>,
  fc.string(),
  fc.double(),
  decimal,
  fc.constantFrom('OL', 'unstable', 'unstable 1-3', 'not taken', '>200', '-1', ''),
);
const anyUnit = fc.oneof(
  fc.constantFrom('ohm', 'kohm', 'V', '°C', '', 'zorg'),
  fc.string({ maxLength: 6 }),
  fc.anything() as fc.Arbitrary<string>,
);
const anyAccept: fc.Arbitrary<AcceptOne> = fc.oneof(
  fc.record({ least: fc.constantFrom('0 ohm', '1 Mohm', '5 V', 'bad') }),
  fc.record({ most: fc.constantFrom('1 ohm', '48 °C', '2 V') }),
  fc.record({ least: fc.constant('9 ohm'), most: fc.constant('11 ohm') }),
  fc.constant<AcceptOne>({ open: true }),
  fc.constant<AcceptOne>({ element: { volts: '240 V', watts: '5500 W' } }),
);

describe('verdicts', () => {
  test.prop([anyValue, anyUnit, anyAccept, fc.double(), fc.double()])(
    'never throw, always say something, and pass only with the whole interval inside',
    (value, symbol, accept, percent, counts) => {
      const verdict = judgeReading({
        value,
        unit: symbol,
        accept,
        instrument: { percent, counts },
        why: 'No access.',
      });
      expect(verdict.says.length).toBeGreaterThan(5);
      if (verdict.verdict !== 'pass' || verdict.code === 'overload') return;
      const slack = 1e-9 * Math.max(1, Math.abs(verdict.net ?? 0));
      if (verdict.least !== null) expect(verdict.low).toBeGreaterThanOrEqual(verdict.least - slack);
      if (verdict.most !== null) expect(verdict.high).toBeLessThanOrEqual(verdict.most + slack);
    },
  );

  test.prop([decimal, between(0, 5), between(0, 5), fc.integer({ min: 0, max: 20 })])(
    'a worse meter never turns "cannot tell" into an answer, nor one answer into the other',
    (value, percent, more, counts) => {
      const accept = { least: '9 ohm', most: '11 ohm' };
      const judge = (by: number) =>
        judgeReading({
          value,
          unit: 'ohm',
          accept,
          instrument: { percent: by, counts },
          resolution: 0.01,
        }).verdict;
      const [good, bad] = [judge(percent), judge(percent + more)];
      if (bad !== 'cannotTell') expect(bad).toBe(good);
    },
  );

  test.prop([between(-50, 50), between(0.001, 20), between(-50, 50), between(0, 50)])(
    'inside and outside are all there is',
    (mean, u, least, width) => {
      const { inside, outside } = conformance(mean, u, { least, most: least + width });
      expect(inside).toBeGreaterThanOrEqual(0);
      expect(outside).toBeLessThanOrEqual(1);
      expect(inside + outside).toBeCloseTo(1, 12);
    },
  );

  test.prop([between(0, 1e3), between(0, 10), between(0, 1e3), between(0, 1e3)])(
    'are drawn inside the scale, in order',
    (net, half, least, width) => {
      const low = Math.max(0, net - half);
      const scale = scaleOf({ net, low, high: net + half, least, most: least + width });
      if (scale === null) throw new Error('Nothing was drawn.');
      const places = [
        scale.net,
        scale.band?.from,
        scale.band?.to,
        scale.accepted?.from,
        scale.accepted?.to,
      ];
      for (const place of places) {
        expect(place).toBeGreaterThanOrEqual(0);
        expect(place).toBeLessThanOrEqual(1);
      }
      expect(scale.band?.from ?? 1).toBeLessThanOrEqual(scale.net ?? 0);
      expect(scale.net ?? 1).toBeLessThanOrEqual(scale.band?.to ?? 0);
      expect(scale.ticks.length).toBeGreaterThan(0);
      expect(scale.ticks.length).toBeLessThan(20);
    },
  );
});

describe('physics', () => {
  test.prop([between(1, 1e4), between(0.01, 0.99), between(1e-3, 1e4)])(
    'a discharge wait leaves exactly the voltage that was asked for',
    (from, share, tau) => {
      const to = from * share;
      const seconds = valueOf(dischargeSeconds({ from, to, tau }));
      expect(valueOf(voltsAfter({ from, seconds, tau })) / to).toBeCloseTo(1, 9);
    },
  );

  test.prop([between(60, 600), between(-10, 40), between(0.001, 1), between(0.05, 0.95)])(
    'a cooling wait leaves exactly the temperature that was asked for',
    (from, ambient, k, share) => {
      const to = ambient + (from - ambient) * share;
      const minutes = valueOf(coolingMinutes({ from, ambient, to, k }));
      expect(valueOf(temperatureAfter({ from, ambient, minutes, k }))).toBeCloseTo(to, 6);
    },
  );

  test.prop([
    between(0.1, 1e4),
    between(-20, 60),
    between(-20, 200),
    fc.constantFrom('copper', 'aluminium-225', 'aluminium-228'),
  ])('a winding thermometer reads what the winding has', (cold, coldAt, hotAt, metal) => {
    const hot = resistanceAt(cold, coldAt, hotAt, metal);
    const { temperature } = valueOf(windingTemperature({ cold, coldAt, hot, metal }));
    expect(temperature).toBeCloseTo(hotAt, 6);
  });

  test.prop([fc.double(), fc.double(), fc.double()])('no number breaks a wait', (from, to, tau) => {
    const seconds = dischargeSeconds({ from, to, tau });
    if (seconds.ok) expect(seconds.value).toBeGreaterThanOrEqual(0);
    const minutes = coolingMinutes({ from, to, ambient: 20, k: tau });
    if (minutes.ok) expect(minutes.value).toBeGreaterThanOrEqual(0);
  });

  test.prop([between(0, 300), between(0, 300), between(0, 300), fc.option(between(0, 300))])(
    'every supply gets a name, and none with a live line is called dead',
    (l1l2, l1n, l2n, ng) => {
      const found = judgeSupply({ l1l2, l1n, l2n, ...(ng === null ? {} : { ng }) });
      expect(found.says.length).toBeGreaterThan(10);
      if (Math.max(l1l2, l1n, l2n) >= 2) expect(found.code).not.toMatch(/dead$/u);
    },
  );
});

describe('switches', () => {
  test.prop([fc.anything(), fc.oneof(fc.string(), fc.anything()), fc.string()])(
    'no pattern throws',
    (terminals, rest, pressed) => {
      const verdict = judgeContacts({
        terminals: terminals as number,
        rest: rest as string,
        pressed,
      });
      expect(verdict.says.length).toBeGreaterThan(10);
      if (verdict.healthy) expect(verdict.pattern).not.toBe('');
    },
  );

  test.prop([fc.anything(), fc.anything(), fc.anything(), fc.anything()])(
    'no meter card throws, and nonsense never fits',
    (category, volts, due, percent) => {
      const card = { id: 'M', category, volts, due, percent } as unknown as InstrumentCard;
      if (fitFor(card, 'CAT II', 120, '2026-09-14').length === 0) {
        expect(readCategory(card.category)).not.toBeNull();
        expect(ratedVolts(card)).toBeGreaterThanOrEqual(120);
      }
      const accuracy = accuracyOf(card);
      if (accuracy.ok && accuracy.value !== null)
        expect(accuracy.value.percent).toBeGreaterThanOrEqual(0);
    },
  );

  const beeps = (terminals: 3 | 4): fc.Arbitrary<Beep[]> =>
    fc.array(fc.record({ probe: fc.constantFrom(...allProbes(terminals)), closed: fc.boolean() }), {
      maxLength: 12,
    });

  test.prop([
    fc.constantFrom(3 as const, 4 as const).chain((n) => fc.tuple(fc.constant(n), beeps(n))),
  ])(
    'the finder never names a form that a beep contradicts, and never asks in vain',
    ([terminals, made]) => {
      const { named, forms, next, contradictory } = findTerminals(terminals, made);
      const last = new Map(made.map((beep) => [JSON.stringify(beep.probe), beep]));
      for (const form of forms) {
        for (const { probe, closed } of last.values()) expect(closes(form, probe)).toBe(closed);
      }
      expect(contradictory).toBe(forms.length === 0);
      if (named !== null) expect(forms).toEqual([named]);
      if (next === null) return;
      const yes = forms.filter((form) => closes(form, next)).length;
      expect(yes).toBeGreaterThan(0);
      expect(yes).toBeLessThan(forms.length);
      expect(formsOf(terminals).length).toBeGreaterThanOrEqual(forms.length);
    },
  );
});

describe('limits and orders', () => {
  const limit = fc.record({
    origin: fc.constantFrom(
      'code' as const,
      'maker' as const,
      'house' as const,
      'default' as const,
    ),
    most: between(0, 100),
  });

  test.prop([fc.array(limit, { maxLength: 6 })])(
    'a house value never loosens code or maker',
    (limits) => {
      const { most } = limitInForce(limits);
      const standing = limits.filter(({ origin }) => origin === 'code' || origin === 'maker');
      if (standing.length === 0 || most === null) return;
      expect(most.value).toBeLessThanOrEqual(Math.max(...standing.map((each) => each.most)));
    },
  );

  const suspects: Suspects = {
    cheap: { label: 'Cheap', cost: 1, clearedBy: { a: ['pass'] }, blamedBy: { a: ['fail'] } },
    middle: { label: 'Middle', cost: 2, clearedBy: { b: ['pass'] }, blamedBy: { b: ['fail'] } },
    dear: {
      label: 'Dear',
      cost: 9,
      part: 'notReturnable',
      clearedBy: { c: ['pass'] },
      blamedBy: { c: ['fail'] },
    },
  };
  const tests = ['a', 'b', 'c'].map((step) => ({ step, minutes: 1, live: false }));
  const finding = fc.record({
    step: fc.constantFrom('a', 'b', 'c'),
    outcomes: fc.constantFrom(['pass'], ['fail'], ['cannotTell']),
    inPlace: fc.boolean(),
  });

  test.prop([fc.array(finding, { maxLength: 8 })])(
    'the dear part is only ordered when it is blamed and every cheaper one is cleared',
    (findings) => {
      const diagnosis = diagnose(suspects, findings, tests);
      const standings = diagnosis.suspects.map(({ standing }) => standing);
      const expected = standings.join() === 'cleared,cleared,blamed';
      expect(mayOrder(suspects, diagnosis, 'dear').held).toBe(!expected);
    },
  );
});
