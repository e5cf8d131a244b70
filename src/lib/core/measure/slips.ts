/** Slips that a number itself gives away: a lost k or M, and °F typed as °C. They are asked, never mended. */
import type { Band } from './accept.ts';
import type { Interval } from './shown.ts';
import { showNumber, siOf } from './quantity.ts';
import { unitTimes } from './units.ts';

export interface Question {
  readonly code: 'thousandfold' | 'fahrenheit';
  readonly says: string;
  /** The unit that would make the figure fit. */
  readonly unit: string;
}

/** The question to ask about a reading outside its limit, or null when no slip explains it. */
export function askAboutSlip(interval: Interval, band: Band): Question | null {
  const { net, unit } = interval;
  if (unit === '°C' && fits(band, siOf(net, '°F'))) {
    return {
      code: 'fahrenheit',
      says: `${showNumber(net)} °C is outside the limit; ${showNumber(net)} °F would be inside. Which scale does the display show?`,
      unit: '°F',
    };
  }
  for (const power of [3, -3, 6, -6]) {
    const other = unitTimes(unit, power);
    if (other === null || !fits(band, siOf(net, other))) continue;
    return {
      code: 'thousandfold',
      says: `${showNumber(net)} ${unit} is outside the limit; ${showNumber(net)} ${other} would be inside. Look at the range on the display: is there a k, an M or an m?`,
      unit: other,
    };
  }
  return null;
}

/**
 * Inside, and not by far: with only an upper limit every figure fits once it is made small enough, so
 * one below a hundredth of the limit explains nothing.
 */
function fits(band: Band, value: number): boolean {
  if (band.least !== null && value < band.least) return false;
  if (band.most === null) return band.least !== null;
  const floor = band.least === null || band.least <= 0 ? band.most / 100 : band.least;
  return value <= band.most && value >= floor;
}
