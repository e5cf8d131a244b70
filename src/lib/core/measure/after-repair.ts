/**
 * Limits for the electrical tests after a repair: protective bond, insulation, leakage, microwave
 * leakage. Each answer names the publication it comes from; the place of use decides which one counts.
 */
import { cordOhms } from './conductors.ts';
import { asWritten, bad, good, outOfRange, type Outcome } from './outcome.ts';

export type TestRule = 'en50678' | 'uk' | 'iec60335' | 'asnzs3760';
export type ProtectionClass = 'I' | 'II' | 'III';

/** A limit in SI units with the publication behind it. */
export interface SourcedLimit {
  readonly value: number;
  readonly source: string;
}

/**
 * Highest resistance in ohm from the earth pin to the case, measured through a cord of `metres` and
 * `mm2`. For `iec60335` the 0.1 ohm is that of the appliance alone: take the cord off the reading, or
 * add `cordOhms`.
 */
export function bondLimit(rule: TestRule, metres: number, mm2: number): Outcome<SourcedLimit> {
  const cord = cordOhms({ metres, mm2 });
  if (!cord.ok) return cord;
  switch (rule) {
    case 'en50678':
      return good({ value: en50678Bond(metres, mm2, cord.value), source: 'EN 50678 (VDE 0701)' });
    case 'uk':
      return good({
        value: 0.1 + cord.value,
        source: 'UK in-service inspection practice: 0.1 ohm + the cord',
      });
    case 'iec60335':
      return good({ value: 0.1, source: 'IEC 60335-1, 27.5, from memory; without the cord' });
    case 'asnzs3760':
      return good({ value: 1, source: 'AS/NZS 3760' });
    default:
      return unknownRule(rule);
  }
}

/**
 * Up to 1.5 mm²: 0.3 ohm to 5 m and 0.1 ohm for each further 7.5 m begun, 1 ohm at most. Larger
 * sections are computed, and never tightened below 0.1 ohm.
 */
function en50678Bond(metres: number, mm2: number, cord: number): number {
  if (mm2 > 1.5) return Math.min(1, 0.1 + cord);
  const further = Math.max(0, Math.ceil((metres - 5) / 7.5));
  return Math.min(1, (3 + further) / 10);
}

/**
 * Least insulation resistance in ohm. The heating relaxation of class I begins at 3 kW in the UK text
 * (one published page says the reverse, below 3 kW) and above 3.5 kW in the EN text.
 */
export function insulationLimit(
  rule: TestRule,
  protection: ProtectionClass,
  heatingWatts = 0,
): Outcome<SourcedLimit> {
  const problem = outOfRange('The heating power', heatingWatts, 'W', { least: 0 });
  if (problem !== null) return { ok: false, problem };
  if (rule === 'asnzs3760') return good({ value: 1e6, source: 'AS/NZS 3760, at 500 V DC' });
  if (rule !== 'en50678' && rule !== 'uk') {
    return bad('no-limit', 'Insulation limits here are those of en50678, uk or asnzs3760.');
  }
  const source = rule === 'uk' ? 'UK in-service inspection practice' : 'EN 50678 (VDE 0701)';
  switch (protection) {
    case 'I': {
      const relaxed = rule === 'uk' ? heatingWatts >= 3000 : heatingWatts > 3500;
      return good({ value: relaxed ? 0.3e6 : 1e6, source });
    }
    case 'II':
      return good({ value: 2e6, source });
    case 'III':
      return good({ value: 0.25e6, source });
    default:
      return bad(
        'unknown-class',
        `“${asWritten(protection)}” is not protection class I, II or III.`,
      );
  }
}

export interface LeakageOf {
  readonly rule: TestRule;
  readonly protection: ProtectionClass;
  readonly use?: 'handheld' | 'portable' | 'stationary' | undefined;
  readonly heatingWatts?: number | undefined;
}

/** Highest protective-conductor or leakage current in ampere. */
export function leakageLimit(of: LeakageOf): Outcome<SourcedLimit> {
  const { rule, protection, heatingWatts = 0 } = of;
  const problem = outOfRange('The heating power', heatingWatts, 'W', { least: 0 });
  if (problem !== null) return { ok: false, problem };
  if (protection !== 'I' && protection !== 'II' && protection !== 'III') {
    return bad('unknown-class', `“${asWritten(protection)}” is not protection class I, II or III.`);
  }
  const milliamps = leakageMilliamps(of, heatingWatts / 1000);
  return milliamps === null
    ? unknownRule(rule)
    : good({ value: milliamps[0] / 1000, source: milliamps[1] });
}

function leakageMilliamps(of: LeakageOf, kilowatts: number): [number, string] | null {
  const { rule, protection, use } = of;
  switch (rule) {
    case 'en50678':
      if (protection !== 'I') return [0.5, 'EN 50678 (VDE 0701), touch current'];
      return [
        kilowatts > 3.5 ? Math.min(kilowatts, 10) : 3.5,
        'EN 50678 (VDE 0701), protective conductor',
      ];
    case 'uk': {
      const source = 'UK in-service inspection practice';
      if (protection !== 'I') return [0.25, source];
      return [use === 'handheld' ? 0.75 : 3.5, source];
    }
    case 'iec60335': {
      const source = 'IEC 60335-1, 13.2';
      if (protection === 'II') return [0.25, source];
      if (protection === 'III') return [0.5, source];
      if (use !== 'stationary') return [0.75, source];
      return [kilowatts > 0 ? Math.min(5, Math.max(0.75, 0.75 * kilowatts)) : 3.5, source];
    }
    case 'asnzs3760':
      return [protection === 'I' ? 5 : 1, 'AS/NZS 3760, from memory'];
    default:
      return null;
  }
}

/**
 * Microwave leakage in W/m²: 5 mW/cm² in service, 1 before purchase, at 5 cm or more, with 275 ml of
 * water as the load (21 CFR 1030.10(c)).
 */
export function microwaveLimit(when: 'inService' | 'beforePurchase'): SourcedLimit {
  return { value: when === 'inService' ? 50 : 10, source: '21 CFR 1030.10(c)' };
}

function unknownRule(rule: string): { ok: false; problem: { code: string; says: string } } {
  return bad('unknown-rule', `“${asWritten(rule)}” is not en50678, uk, iec60335 or asnzs3760.`);
}
