/** Figures of the shipped checklists beside the published sources that they are taken from. */
import { describe, expect, test } from 'vitest';
import { elementOhms } from '#lib/core/measure/elements.ts';
import { parseQuantity } from '#lib/core/measure/quantity.ts';
import { dischargeSeconds } from '#lib/core/measure/waits.ts';
import type { Accept } from '#lib/core/checklist/model.ts';
import { checklistOf, checklistText } from '../../../support/checklist-texts.ts';

const si = (text: string | undefined) => {
  const read = parseQuantity(text ?? '');
  if (!read.ok) throw new Error(read.problem.says);
  return read.quantity.si;
};

const shipped = (id: string) => checklistOf(checklistText(`${id}.yaml`, 'shipped'));

function accepted(id: string, step: string): Accept {
  const found = shipped(id).steps.find((each) => each.id === step);
  if (found?.do !== 'reading' || found.accept === undefined) throw new Error(`no reading ${step}`);
  return found.accept;
}

function band(id: string, step: string): { least?: string; most?: string } {
  const accept = accepted(id, step);
  if ('least' in accept || 'most' in accept) return accept;
  throw new Error(`${step} has no band`);
}

describe('grinder', () => {
  // 29 CFR 1910.215(a)(4) and (b)(9): rest within one-eighth inch, tongue within one-fourth inch.
  test('gaps at rest and tongue', () => {
    expect(si(band('bench-grinder', 'rest-gap').most)).toBeCloseTo(0.0254 / 8, 9);
    expect(si(band('bench-grinder', 'tongue-gap').most)).toBeCloseTo(0.0254 / 4, 9);
  });
});

describe('fryer', () => {
  // Ohm's law, R = V^2 / W, and the band from 0.90 to 1.12 of it that the house takes (a judgement).
  test('each pair of three elements of 4700 W at 208 V', () => {
    const ohms = elementOhms(208, 4700);
    if (!ohms.ok) throw new Error('unexpected');
    expect(ohms.value.ohms).toBeCloseTo(9.205, 3);
    const accept = accepted('fryer-element', 'elements');
    if (!('pairs' in accept)) throw new Error('unexpected');
    for (const { least, most } of Object.values(accept.pairs)) {
      expect(si(least) / ohms.value.ohms).toBeCloseTo(0.9, 2);
      expect(si(most) / ohms.value.ohms).toBeCloseTo(1.12, 2);
    }
  });

  test('every phase to every other and to ground: C(3, 2) + 3 pairs (NFPA 70E 120.6)', () => {
    const pairs = shipped('fryer-element').sources['mains']?.dead?.pairs ?? [];
    expect(new Set(pairs).size).toBe(6);
  });

  // ISO 13732-1, ten minutes of contact on bare metal: 48 °C; the oil is let go below it.
  test('oil below the burn threshold', () => {
    const release = shipped('fryer-element').sources['oil']?.release;
    expect(release && 'cool' in release && si(release.cool.below)).toBeLessThan(48);
  });
});

describe('charge-point', () => {
  // IEC 61851-1, table of the pilot: state C is +6 V with 0.53 V either way (from memory).
  test('pilot of a vehicle that draws', () => {
    const { least, most } = band('ev-charge-point', 'pilot-ready');
    expect((si(least) + si(most)) / 2).toBeCloseTo(6, 6);
    expect((si(most) - si(least)) / 2).toBeCloseTo(0.53, 6);
  });

  // IEC 61008-1, table 1: a general device breaks within 0.3 s at its rated residual current (from memory).
  test('break time of the residual current device', () => {
    expect(si(band('ev-charge-point', 'rcd').most)).toBeCloseTo(0.3, 9);
  });
});

describe('solar string', () => {
  // Open voltage of a series string: the sum of its modules; here ten of 38 V, 5 percent either way.
  test('open voltage', () => {
    const accept = accepted('pv-string-isolator', 'voc');
    if (!('pairs' in accept)) throw new Error('unexpected');
    const [pair] = Object.values(accept.pairs);
    expect(si(pair?.least)).toBeCloseTo(380 * 0.95, 6);
    expect(si(pair?.most)).toBeCloseTo(380 * 1.05, 6);
  });

  test('no current before a switch or a connector is opened', () => {
    const steps = shipped('pv-string-isolator').steps;
    // What is under repair is switched, and never counted as the cut.
    expect(Object.keys(shipped('pv-string-isolator').sources['string']?.points ?? {})).toEqual([
      'connectors',
    ]);
    for (const id of ['dc-off', 'part']) {
      expect(steps.find((step) => step.id === id)?.needs).toEqual(['no-current']);
    }
  });
});

describe('furnace', () => {
  // Heat input by the meter: 3600 s times the heat of a cubic foot, over the seconds for one (common practice, no source).
  test('seconds for a cubic foot: 80 000 Btu an hour from gas of 1000 Btu', () => {
    const { least, most } = band('furnace-igniter', 'heat-input');
    const rated = (3600 * 1000) / 80_000;
    expect(rated).toBe(45);
    expect(si(least) / rated).toBeCloseTo(0.96, 2);
    expect(si(most) / rated).toBeCloseTo(1.09, 2);
  });
});

describe('waits by the textbook, t = RC ln(V0/V)', () => {
  test.each([
    ['bench-grinder', 'start-charge', 1.5 * Math.log(17)],
    ['ev-charge-point', 'electronics', 48.4 * Math.log(34)],
    ['pv-string-isolator', 'dc-link', 100 * Math.log(60)],
  ])('%s, %s', (id, name, seconds) => {
    const source = shipped(id).sources[name];
    const release = source?.release;
    if (!release || !('discharge' in release)) throw new Error('unexpected');
    const { capacitance, bleed, below } = release.discharge;
    const tau = si(capacitance) * si(bleed);
    const wait = dischargeSeconds({ from: si(source.nominal), to: si(below), tau });
    expect(wait.ok && wait.value).toBeCloseTo(seconds, 6);
  });

  // Makers' sheets name five to ten minutes or more for the link of an inverter.
  test('of an inverter lies among those of published sheets', () => {
    expect(100 * Math.log(60)).toBeGreaterThan(5 * 60);
    expect(100 * Math.log(60)).toBeLessThan(10 * 60);
  });
});
