/**
 * The recommended weight limit of the revised NIOSH lifting equation (NIOSH 94-110):
 * RWL = LC·HM·VM·DM·AM·FM·CM, for one person with both hands. Multipliers are rounded to two decimals
 * and the limit to one, as the publication does.
 */
import { good, outOfRange, type Outcome, type Problem } from './outcome.ts';

export const liftingSource = 'NIOSH 94-110 (rev. 2021), revised lifting equation';

/** Load constant, 51 lb or 23 kg. */
const loadConstants = { lb: 51, kg: 23 } as const;
export type WeightUnit = keyof typeof loadConstants;
const cmPerInch = 2.54;

/** Multipliers, each from 0 to 1. */
export interface LiftMultipliers {
  readonly h: number;
  readonly v: number;
  readonly d: number;
  readonly a: number;
  readonly f: number;
  readonly c: number;
}

/** The limit in `unit`: rounded as published, and as computed. */
export function liftingLimit(
  multipliers: LiftMultipliers,
  unit: WeightUnit,
): Outcome<{ limit: number; exact: number }> {
  let exact: number = loadConstants[unit];
  for (const [name, value] of Object.entries(multipliers) as [string, number][]) {
    const problem = outOfRange(`The multiplier ${name.toUpperCase()}M`, value, '', {
      least: 0,
      most: 1,
    });
    if (problem !== null) return { ok: false, problem };
    exact *= value;
  }
  return good({ limit: Math.round(exact * 10) / 10, exact });
}

/** Lifting index: load over limit, to one decimal; above 1 the lift is not for one person alone. */
export function liftingIndex(load: number, limit: number): number {
  return limit === 0 ? Infinity : Math.round((load / limit) * 10) / 10;
}

/** HM from the horizontal distance of the hands to the ankles, in cm: 25/H, 1 up to 25 cm, 0 beyond 63 cm. */
export function horizontalMultiplier(cm: number): Outcome<number> {
  return multiplier(
    'The horizontal distance',
    cm,
    'cm',
    cm > inches(25) ? 0 : Math.min(1, inches(10) / cm),
  );
}

/** VM from the height of the hands above the floor, in cm: 1 − 0.0075·|V − 30 in|, 0 above 70 in. */
export function verticalMultiplier(cm: number): Outcome<number> {
  const off = Math.abs(cm / cmPerInch - 30);
  return multiplier('The height', cm, 'cm', cm > inches(70) ? 0 : 1 - 0.0075 * off);
}

/** DM from the vertical travel in cm: 0.82 + 1.8 in/D, 1 up to 10 in, 0 beyond 70 in. */
export function distanceMultiplier(cm: number): Outcome<number> {
  const value = cm <= inches(10) ? 1 : cm > inches(70) ? 0 : 0.82 + 1.8 / (cm / cmPerInch);
  return multiplier('The travel', cm, 'cm', value);
}

/** AM from the twist in degrees: 1 − 0.0032·A, 0 beyond 135°. */
export function twistMultiplier(degrees: number): Outcome<number> {
  return multiplier('The twist', degrees, 'degrees', degrees > 135 ? 0 : 1 - 0.0032 * degrees);
}

/** CM from the grip: good 1, poor 0.90, fair 0.95 below 30 in and 1 from there up. */
export function gripMultiplier(grip: 'good' | 'fair' | 'poor', heightCm: number): number {
  if (grip === 'poor') return 0.9;
  return grip === 'fair' && heightCm < inches(30) ? 0.95 : 1;
}

function multiplier(name: string, measure: number, unit: string, value: number): Outcome<number> {
  const problem: Problem | null = outOfRange(name, measure, unit, { least: 0 });
  if (problem !== null) return { ok: false, problem };
  return good(Math.round(value * 100) / 100);
}

function inches(count: number): number {
  return count * cmPerInch;
}
