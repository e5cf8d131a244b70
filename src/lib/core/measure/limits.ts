/**
 * Where a limit comes from, and which of several holds: code beats maker, maker beats house rule,
 * house beats our default; a house value may tighten a limit that stands, never loosen it.
 */
import type { LimitOrigin } from '../checklist/model.ts';
import type { Problem } from './outcome.ts';
import { showNumber } from './quantity.ts';

export type { LimitOrigin };

/** A limit in the SI unit of its dimension; `reference` is the publication and clause. */
export interface Limit {
  readonly origin: LimitOrigin;
  readonly least?: number;
  readonly most?: number;
  readonly reference?: string;
}

const ranks: Readonly<Record<LimitOrigin, number>> = { code: 0, maker: 1, house: 2, default: 3 };

export interface Bound {
  readonly value: number;
  readonly origin: LimitOrigin;
  readonly reference?: string;
}

export interface LimitInForce {
  readonly least: Bound | null;
  readonly most: Bound | null;
  /** House values that were not taken because they are looser than a limit that stands. */
  readonly refused: readonly Problem[];
}

/** The limit in force out of several, each bound with its own origin. */
export function limitInForce(limits: readonly Limit[]): LimitInForce {
  const refused: Problem[] = [];
  return {
    least: boundInForce(limits, 'least', refused),
    most: boundInForce(limits, 'most', refused),
    refused,
  };
}

function boundInForce(
  limits: readonly Limit[],
  side: 'least' | 'most',
  refused: Problem[],
): Bound | null {
  const stricter = (a: number, b: number) => (side === 'least' ? a > b : a < b);
  const standing = strongest(limits, side, (origin) => origin === 'code' || origin === 'maker');
  const house = strongest(limits, side, (origin) => origin === 'house');
  if (house === null) return standing ?? strongest(limits, side, (origin) => origin === 'default');
  if (standing === null || stricter(house.value, standing.value)) return house;
  if (house.value !== standing.value) {
    const words = side === 'least' ? 'at least' : 'at most';
    refused.push({
      code: 'house-looser',
      says:
        `The house value (${words} ${showNumber(house.value)}) is looser than the ${standing.origin} limit ` +
        `(${words} ${showNumber(standing.value)}); a house value may only be stricter.`,
    });
  }
  return standing;
}

function strongest(
  limits: readonly Limit[],
  side: 'least' | 'most',
  among: (origin: LimitOrigin) => boolean,
): Bound | null {
  let found: Limit | null = null;
  for (const limit of limits) {
    if (limit[side] === undefined || !among(limit.origin)) continue;
    if (found === null || ranks[limit.origin] < ranks[found.origin]) found = limit;
  }
  const value = found?.[side];
  if (found === null || value === undefined) return null;
  const { origin, reference } = found;
  return reference === undefined ? { value, origin } : { value, origin, reference };
}
