/** Units as an instrument shows them; what is written down keeps the one spelling of the record. */
import type { LimitOrigin, QuantityName } from '#lib/core/checklist/model.ts';
import * as m from '../paraglide/messages.js';

/** The units that a display may show for each quantity, the likeliest first where one is. */
const offered: Readonly<Record<QuantityName, readonly string[]>> = {
  voltage: ['V', 'mV', 'kV'],
  current: ['A', 'mA', 'uA'],
  resistance: ['ohm', 'kohm', 'Mohm'],
  insulation: ['kohm', 'Mohm', 'Gohm'],
  capacitance: ['nF', 'uF', 'mF'],
  temperature: ['°C', '°F'],
  pressure: ['kPa', 'bar', 'psi'],
  power: ['W', 'kW'],
  time: ['s', 'min'],
  length: ['mm', 'cm', 'm'],
  mass: ['g', 'kg'],
  leakage: ['uA', 'mA'],
  concentration: ['ppm', '%'],
  irradiance: ['mW/cm2', 'W/m2'],
  frequency: ['Hz', 'kHz'],
};

export function unitsFor(quantity: QuantityName): readonly string[] {
  return offered[quantity];
}

/** Units of other quantities, for a display that shows what the step did not ask for. */
export function strangeUnits(quantity: QuantityName): readonly string[] {
  return ['V', 'A', 'ohm', '°C', 'uF', 'Hz'].filter((unit) => {
    const ohms = quantity === 'insulation' && unit === 'ohm';
    return !ohms && !offered[quantity].includes(unit);
  });
}

/** A unit that may be taken as given: where an automatic range cannot shift it by a thousand. */
export function likelyUnit(quantity: QuantityName, last?: string): string {
  if (quantity === 'voltage') return 'V';
  return last !== undefined && offered[quantity].includes(last) && quantity === 'temperature'
    ? last
    : '';
}

export function unitFace(unit: string): string {
  return unit.replace('ohm', 'Ω').replace(/^u/u, 'µ').replace(/2$/u, '²');
}

/** A quantity text of a checklist as people read it: `0.47 uF` gives `0.47 µF`. */
export function quantityFace(text: string): string {
  const [number, ...unit] = text.split(' ');
  return [number, unitFace(unit.join(' '))].join(' ').trim();
}

export const limitOrigin: Readonly<Record<LimitOrigin, () => string>> = {
  code: m.limit_code,
  maker: m.limit_maker,
  house: m.limit_house,
  default: m.limit_default,
};
