import type { Dimension } from '../measure/quantity.ts';
import type { QuantityName } from './model.ts';

/** The dimension in which a quantity of the format is written. */
export const dimensionOf: Readonly<Record<QuantityName, Dimension>> = {
  voltage: 'voltage',
  current: 'current',
  resistance: 'resistance',
  insulation: 'resistance',
  capacitance: 'capacitance',
  temperature: 'temperature',
  pressure: 'pressure',
  power: 'power',
  time: 'time',
  length: 'length',
  mass: 'mass',
  leakage: 'current',
  concentration: 'ratio',
  irradiance: 'irradiance',
  frequency: 'frequency',
};
