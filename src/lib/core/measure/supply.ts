/**
 * What a set of voltages at a split-phase 120/240 V outlet means. Normal is ±10 % of nominal (house
 * default); the service band of ANSI C84.1 Range A is ±5 %. The meanings follow from the circuit:
 * a neutral that floats divides 240 V as the loads on the two legs do.
 */
import { outOfRange, type Problem } from './outcome.ts';
import { showNumber } from './quantity.ts';

export interface SupplyVolts {
  readonly l1l2: number;
  readonly l1n: number;
  readonly l2n: number;
  readonly l1g?: number | undefined;
  readonly l2g?: number | undefined;
  readonly ng?: number | undefined;
}

export interface SupplyMeaning {
  readonly code: string;
  readonly name: string;
  readonly says: string;
  readonly healthy: boolean;
  /** Within ANSI C84.1 Range A at the outlet, 114–126 V and 228–252 V. */
  readonly rangeA: boolean;
}

const legLow = 108;
const legHigh = 132;
/** Below this a pair counts as dead. */
const deadVolts = 2;
/** Below this a conductor is not fed: ghost volts and the volts of a loaded neutral lie under it. */
const fewVolts = 25;
/** Neutral to ground under load, common practice. */
const neutralVolts = 3;
const groundDifference = 5;
/** The two legs of a sound supply differ by less, common practice. */
const neutralShift = 10;

/** Names the pattern. A missing, negative or endless figure comes back as a problem. */
export function judgeSupply(volts: SupplyVolts): SupplyMeaning | Problem {
  for (const [name, value] of Object.entries(volts)) {
    if (value === undefined) continue;
    const problem = outOfRange(name.toUpperCase(), value as number, 'V', { least: 0, most: 1000 });
    if (problem !== null) return problem;
  }
  return (
    groundFindings(volts) ??
    deadFindings(volts) ??
    legFindings(volts) ?? {
      ...meaning(
        'unknown',
        'no known pattern',
        'These figures fit no known pattern: measure again, all pairs and to ground; if they stay, this is work for an electrician.',
      ),
    }
  );
}

function meaning(code: string, name: string, says: string, healthy = false): SupplyMeaning {
  return { code, name, says, healthy, rangeA: false };
}

function inLeg(volts: number): boolean {
  return volts >= legLow && volts <= legHigh;
}

function groundFindings(volts: SupplyVolts): SupplyMeaning | null {
  const { l1l2, l1n, l2n, l1g, l2g, ng } = volts;
  if (ng !== undefined && ng > fewVolts && ((l1g ?? 999) < fewVolts || (l2g ?? 999) < fewVolts)) {
    return meaning(
      'ground-live',
      'live on the ground pin',
      'Neutral to ground shows full volts and a line shows none to ground: the ground pin, and with it the case, is live. Keep everybody off the machine, breaker off, electrician.',
    );
  }
  if (l1g !== undefined && l2g !== undefined && Math.abs(l1n - l2n) > groundDifference) {
    const groundInMiddle =
      inLeg(l1g) &&
      inLeg(l2g) &&
      [l1g, l2g].every((leg) => Math.abs(leg - l1l2 / 2) <= groundDifference);
    // The ground still stands in the middle, so it is the neutral that has moved: named below.
    if (groundInMiddle) return null;
  }
  const legs = [
    [l1n, l1g],
    [l2n, l2g],
  ] as const;
  for (const [toNeutral, toGround] of legs) {
    if (toGround === undefined || !inLeg(toNeutral)) continue;
    if (Math.abs(toGround - toNeutral) > groundDifference) {
      return meaning(
        'ground-open',
        'ground open or borrowed',
        `Line to ground (${showNumber(toGround)} V) differs from line to neutral (${showNumber(toNeutral)} V): the ground is open, or tied to something that is not the ground. Electrician.`,
      );
    }
  }
  return null;
}

function deadFindings({ l1l2, l1n, l2n, l1g, l2g, ng }: SupplyVolts): SupplyMeaning | null {
  if (Math.max(l1l2, l1n, l2n) >= deadVolts) return null;
  if (l1g === undefined || l2g === undefined || ng === undefined) {
    return meaning(
      'reads-dead',
      'reads dead, ground not measured',
      'No volts between the lines and to neutral. That is dead, or an open neutral reference, or a dead meter: measure L1, L2 and N to ground, and the meter on a known source.',
    );
  }
  if (Math.max(l1g, l2g, ng) < deadVolts) {
    return meaning(
      'dead',
      'dead',
      'No volts between any pair, ground included; the meter check before and after decides.',
    );
  }
  return meaning(
    'neutral-reference-open',
    'neutral open, lines live to ground',
    'Nothing between the lines and to neutral, yet volts to ground: every conductor is live. Breaker off, electrician.',
  );
}

function legFindings(volts: SupplyVolts): SupplyMeaning | null {
  const { l1l2, l1n, l2n, ng } = volts;
  if (inLeg(l1n) && inLeg(l2n)) {
    const share = l1l2 / (l1n + l2n);
    if (share < 0.1) {
      return meaning(
        'same-leg',
        'both lines on one leg',
        'Each line shows 120 V to neutral and nothing between them: one line is open and fed back through a load, or both are on one leg. Every conductor is live.',
      );
    }
    // A three-phase pair stands at 0.866 of the sum, a split phase at the sum itself.
    if (share > 0.82 && share < 0.92) {
      return meaning(
        'three-phase-legs',
        'two legs of three phases',
        'About 208 V between the lines: two legs of a three-phase supply. Elements for 240 V give three quarters of their power.',
        true,
      );
    }
    if (share > 0.95 && share < 1.05) return nearNormal(volts, ng);
    return null;
  }
  if (inLeg(l1n) !== inLeg(l2n) && Math.min(l1n, l2n) < fewVolts && l1l2 <= legHigh) {
    const dead = inLeg(l1n) ? 'L2' : 'L1';
    return meaning(
      'leg-dead',
      `${dead} dead`,
      `${dead} is not fed: a tripped or half-closed breaker, or an open conductor. The other line is live.`,
    );
  }
  const sum = l1n + l2n;
  if (l1l2 >= 2 * legLow && l1l2 <= 2 * legHigh && Math.abs(sum - l1l2) <= 0.05 * l1l2) {
    return meaning(
      'neutral-open',
      'open neutral',
      `The lines share ${showNumber(l1l2)} V as ${showNumber(l1n)} and ${showNumber(l2n)}: the neutral is open and the case may float. Breaker off, electrician or utility now.`,
    );
  }
  if (Math.abs(sum - l1l2) <= 0.05 * sum && Math.abs(l1n - l2n) <= 0.05 * sum) {
    const way = sum < 2 * legLow ? 'low' : 'high';
    return meaning(
      `supply-${way}`,
      `supply ${way}`,
      `Both lines are alike but ${way}: outside ±10 % of 120/240 V. Do not judge the machine on this supply.`,
    );
  }
  return null;
}

function nearNormal({ l1l2, l1n, l2n }: SupplyVolts, ng: number | undefined): SupplyMeaning {
  if ((ng ?? 0) > neutralVolts || Math.abs(l1n - l2n) > neutralShift) {
    return meaning(
      'neutral-resistive',
      'neutral of high resistance',
      `The neutral is not in the middle (${showNumber(l1n)} V and ${showNumber(l2n)} V, ${ng === undefined ? 'not measured' : `${showNumber(ng)} V`} to ground): a loose or long neutral under load, or a load shared with another circuit.`,
    );
  }
  const rangeA = [l1n, l2n].every((leg) => leg >= 114 && leg <= 126) && l1l2 >= 228 && l1l2 <= 252;
  const says = rangeA
    ? 'Both lines and the sum are as they should be, inside the service band of ANSI C84.1 Range A.'
    : 'Both lines and the sum are within ±10 %, outside the ±5 % service band of ANSI C84.1 Range A.';
  return { ...meaning('normal', 'normal', says, true), rangeA };
}
