/** The shipped checklists: their languages, and the range against what is published outside. */
import { describe, expect, test } from 'vitest';
import { parseQuantity } from '#lib/core/measure/quantity.ts';
import { dischargeSeconds } from '#lib/core/measure/waits.ts';
import { applyTranslation } from '#lib/core/checklist/translation.ts';
import type { StepKind } from '#lib/core/checklist/model.ts';
import {
  checklistNames,
  checklistOf,
  checklistText,
  problemsOf,
} from '../../../support/checklist-texts.ts';

const range = checklistOf(checklistText('range-door-lock.yaml', 'shipped'));
const si = (text: string | undefined) => {
  const read = parseQuantity(text ?? '');
  if (!read.ok) throw new Error(read.problem.says);
  return read.quantity.si;
};
const step = (id: string) => {
  const found = range.steps.find((each) => each.id === id);
  if (found === undefined) throw new Error(`no step ${id}`);
  return found;
};
const at = (id: string) => range.steps.indexOf(step(id));
const band = (id: string) => {
  const reading = step(id);
  if (
    reading.do !== 'reading' ||
    reading.accept === undefined ||
    !('least' in reading.accept || 'most' in reading.accept)
  ) {
    throw new Error(`${id} has no band`);
  }
  return reading.accept;
};

describe.each(checklistNames('shipped'))('%s', (name) => {
  test('is right, under its own name', () => {
    expect(problemsOf(checklistText(name, 'shipped'))).toEqual([]);
  });

  test('stands there in Spanish, with every word', () => {
    const spanish = name.replace('.yaml', '.es.yaml');
    const translated = applyTranslation(
      checklistOf(checklistText(name, 'shipped')),
      checklistText(spanish, 'shipped'),
      spanish,
    );
    expect(translated).toMatchObject({ ok: true, language: 'es', advice: [] });
  });

  test('marks every figure that is from memory or judgement for review', () => {
    const checklist = checklistOf(checklistText(name, 'shipped'));
    const judged = checklist.steps.filter(
      ({ do: kind, limit }) => kind === 'prove' || kind === 'case' || limit === 'maker',
    );
    for (const { id, do: kind, review } of judged) {
      if (kind !== 'contacts') expect(review, id).toMatch(/practice|sheet|standard|memory/);
    }
  });

  test('tells every limit where it comes from', () => {
    const checklist = checklistOf(checklistText(name, 'shipped'));
    for (const each of checklist.steps) {
      if (each.do === 'reading') expect([each.id, each.limit]).not.toContain(undefined);
      if (each.limit !== undefined) expect([each.id, each.reference]).not.toContain(undefined);
    }
  });
});

describe('the range against what is published', () => {
  test('takes control in the order of 29 CFR 1910.147(d) and 1910.333(b)(2)', () => {
    // Know, shut down, isolate, lock each, release what is stored, verify; then work.
    const order = [
      'count',
      'breaker-off',
      'breaker-lock',
      'unplug',
      'residual',
      'dead',
      'rear-off',
      'wires',
    ];
    expect(order.map(at)).toEqual(order.map(at).toSorted((a, b) => a - b));
  });

  test('brings power back in the order of 29 CFR 1910.333(b)(2)(v)', () => {
    // Tools and jumpers out, people warned and clear, locks off by their owners, then power.
    const order = ['rear-on', 'clear', 'unlock', 'plug-in', 'power', 'case-again'];
    expect(order.map(at)).toEqual(order.map(at).toSorted((a, b) => a - b));
  });

  test('is proved dead on every pair of its four conductors', () => {
    // Phase to phase and phase to ground (NFPA 70E 120.6): six pairs of L1, L2, N and G, C(4, 2).
    const ends = ['L1', 'L2', 'N', 'G'];
    const pairs = ends.flatMap((one, from) =>
      ends.slice(from + 1).map((other) => `${one}-${other}`),
    );
    expect(pairs).toHaveLength(6);
    expect(new Set(range.sources['mains']?.dead?.pairs)).toEqual(new Set(pairs));
  });

  test('asks for the category of fixed outlets (IEC 61010-1: CAT III)', () => {
    expect(range.sources['mains']?.dead?.category).toBe('CAT III');
  });

  test('lets a hand on what ten minutes of contact do not burn (ISO 13732-1: 48 °C)', () => {
    const release = range.sources['heat']?.release;
    expect(release && 'cool' in release && si(release.cool.below)).toBe(48);
  });

  test('takes a platinum sensor of 1000 ohm at any room temperature (IEC 60751)', () => {
    const { least, most } = band('sensor') as { least: string; most: string };
    const pt1000 = (celsius: number) => 1000 * (1 + 3.9083e-3 * celsius - 5.775e-7 * celsius ** 2);
    expect(pt1000(100)).toBeCloseTo(1385.055, 2);
    for (const room of [10, 20, 25, 35]) {
      expect(pt1000(room)).toBeGreaterThan(si(least));
      expect(pt1000(room)).toBeLessThan(si(most));
    }
    // Open, shorted, and one of 100 ohm, are told apart from it.
    expect(110).toBeLessThan(si(least));
  });

  test('asks of the bond what EN 50678 asks of a cord up to 5 m: 0.3 ohm', () => {
    expect(si((band('bond') as { most: string }).most)).toBe(0.3);
  });

  test('waits for the filter as the textbook says: t = RC ln(V0/V)', () => {
    const filter = range.sources['filter'];
    const release = filter?.release;
    if (!release || !('discharge' in release)) throw new Error('unexpected');
    const { capacitance, bleed, below } = release.discharge;
    const tau = si(capacitance) * si(bleed);
    const wait = dischargeSeconds({ from: si(filter.nominal), to: si(below), tau });
    expect(wait.ok && wait.value).toBeCloseTo(0.47 * Math.log(340 / 10), 9);
    // 340 V is the peak of 240 V; IEC 60335-1, 22.5 allows 34 V between the pins after 1 s.
    expect(240 * Math.SQRT2).toBeCloseTo(339.4, 1);
    expect(340 * Math.exp(-1 / tau)).toBeGreaterThan(34);
  });
});

describe('the range as work', () => {
  // The usual way through: a part is found bad by a dead test, and it is not the board.
  const plain = range.steps.filter(({ when }) => {
    const choice = Object.values(when ?? {}).flat();
    return choice.length === 0 || choice.includes('position-switch');
  });
  const count = (...kinds: StepKind[]) =>
    plain.filter(({ do: kind }) => kinds.includes(kind)).length;

  test('is about 65 acts with six connectors, about twenty of them with numbers', () => {
    const connectors = 6;
    const acts = plain.length - count('disconnect', 'reseat') + 2 * connectors;
    expect(acts).toBeGreaterThanOrEqual(60);
    expect(acts).toBeLessThanOrEqual(70);
    expect(count('reading', 'contacts', 'case', 'prove')).toBeGreaterThanOrEqual(14);
  });

  test('no step only says to go on', () => {
    for (const { say } of range.steps)
      expect(say).not.toMatch(/^(next|go on|continue|proceed|confirm)\b/i);
  });

  test('keeps gloves on wherever hands go behind sheet metal', () => {
    for (const { id, do: kind, wearing } of range.steps) {
      if (kind === 'open' && id !== 'strap-on')
        expect([id, wearing]).toEqual([id, ['cut-resistant gloves A4']]);
    }
  });

  test('holds the dear part until the cheaper ones have a verdict', () => {
    const gate = step('part-order');
    expect(step('part-order-live').needs).toEqual(gate.needs);
    expect(at('live-verdict')).toBeLessThan(at('part-order-live'));
    const judged = Object.values(range.suspects ?? {}).flatMap(({ clearedBy }) =>
      Object.keys(clearedBy ?? {}),
    );
    expect(judged.length).toBeGreaterThanOrEqual(7);
    for (const id of judged) {
      const { do: kind, when, optional } = step(id);
      /* A choice that is asked in any case stands until it is corrected: the order holds it. */
      if (kind === 'choose' && when === undefined && optional !== true) {
        expect(at(id)).toBeLessThan(at('part-order'));
      } else if (id !== 'live-verdict') expect(gate.needs).toContain(id);
    }
  });
});
