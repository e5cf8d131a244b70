/**
 * The units that a technician writes, each tied to one SI unit.
 *
 * Factors: SI Brochure (9th ed., 2019) tables 4, 7 and 8; NIST SP 811 (2008) appendix B.8 for foot
 * 0.3048 m, pound 0.45359237 kg, ounce 28.349523125 g, pound-force 4.4482216152605 N, psi
 * 6894.757293168 Pa, inch of water at 4 °C 249.082 Pa (B.8, rounded), US gallon 3.785411784 L.
 */

export type Dimension =
  | 'voltage'
  | 'current'
  | 'resistance'
  | 'conductance'
  | 'capacitance'
  | 'inductance'
  | 'charge'
  | 'power'
  | 'apparentPower'
  | 'energy'
  | 'frequency'
  | 'rate'
  | 'rotation'
  | 'temperature'
  | 'time'
  | 'length'
  | 'area'
  | 'volume'
  | 'mass'
  | 'force'
  | 'torque'
  | 'pressure'
  | 'speed'
  | 'ratio'
  | 'irradiance';

export interface Unit {
  /** The one spelling that is stored and shown, for example `uF`, `kohm`, `°C`. */
  readonly symbol: string;
  readonly dimension: Dimension;
  /** Power of ten towards the SI unit; applied in decimal, so that 470 uF is 0.00047 F exactly. */
  readonly power: number;
  /** What is left of the conversion after the power of ten; 1 for every metric unit. */
  readonly factor: number;
  /** Subtracted before the factor is applied; only temperatures have one. */
  readonly offset: number;
}

/** The SI unit in which `si` values of a dimension stand, and the dimension in words. */
export const dimensions: Readonly<Record<Dimension, { si: string; called: string }>> = {
  voltage: { si: 'V', called: 'a voltage' },
  current: { si: 'A', called: 'a current' },
  resistance: { si: 'ohm', called: 'a resistance' },
  conductance: { si: 'S', called: 'a conductance' },
  capacitance: { si: 'farad', called: 'a capacitance' },
  inductance: { si: 'H', called: 'an inductance' },
  charge: { si: 'coulomb', called: 'an electric charge' },
  power: { si: 'W', called: 'a power' },
  apparentPower: { si: 'VA', called: 'an apparent power' },
  energy: { si: 'J', called: 'an energy' },
  frequency: { si: 'Hz', called: 'a frequency' },
  rate: { si: '1/s', called: 'a rate' },
  rotation: { si: 'rpm', called: 'a speed of rotation' },
  // Degrees Celsius, an SI unit too, because every limit of the trade is written in it.
  temperature: { si: '°C', called: 'a temperature' },
  time: { si: 's', called: 'a time' },
  length: { si: 'm', called: 'a length' },
  area: { si: 'm2', called: 'an area' },
  volume: { si: 'm3', called: 'a volume' },
  mass: { si: 'kg', called: 'a mass' },
  force: { si: 'N', called: 'a force' },
  torque: { si: 'N·m', called: 'a torque' },
  pressure: { si: 'Pa', called: 'a pressure' },
  speed: { si: 'm/s', called: 'a speed' },
  ratio: { si: '1', called: 'a ratio' },
  irradiance: { si: 'W/m2', called: 'a power per area' },
};

const prefixPowers: Readonly<Record<string, number>> = {
  p: -12,
  n: -9,
  u: -6,
  m: -3,
  k: 3,
  M: 6,
  G: 9,
};

/** [symbol, dimension, prefixes it may carry, power of the unprefixed symbol, other spellings] */
type Metric = readonly [string, Dimension, string, number, ...string[]];

const metric: readonly Metric[] = [
  ['V', 'voltage', 'mkuMn', 0, 'volt', 'volts'],
  ['A', 'current', 'mukn', 0, 'amp', 'amps', 'ampere', 'amperes'],
  ['ohm', 'resistance', 'kMmGun', 0, 'ohms', 'Ω'],
  ['S', 'conductance', 'mun', 0, 'siemens'],
  ['farad', 'capacitance', '', 0, 'farads'],
  ['H', 'inductance', 'mun', 0, 'henry'],
  ['coulomb', 'charge', '', 0, 'coulombs'],
  ['W', 'power', 'kmMun', 0, 'watt', 'watts'],
  ['VA', 'apparentPower', 'mkM', 0],
  ['J', 'energy', 'kmMun', 0, 'joule', 'joules'],
  ['Hz', 'frequency', 'mkMG', 0, 'hertz'],
  ['s', 'time', 'mun', 0, 'second', 'seconds'],
  ['m', 'length', 'mkun', 0, 'metre', 'metres', 'meter', 'meters'],
  ['cm', 'length', '', -2],
  ['m2', 'area', '', 0, 'm²'],
  ['cm2', 'area', '', -4, 'cm²'],
  ['mm2', 'area', '', -6, 'mm²'],
  ['m3', 'volume', '', 0, 'm³'],
  ['L', 'volume', 'mu', -3, 'l', 'litre', 'litres', 'liter', 'liters'],
  ['g', 'mass', 'kmu', -3, 'gram', 'grams'],
  ['t', 'mass', '', 3, 'tonne', 'tonnes'],
  ['N', 'force', 'mk', 0, 'newton', 'newtons'],
  ['N·m', 'torque', '', 0, 'Nm', 'N m'],
  ['Pa', 'pressure', 'mkM', 0, 'pascal'],
  ['bar', 'pressure', 'm', 5],
  ['m/s', 'speed', '', 0],
  ['rpm', 'rotation', '', 0, 'r/min'],
  ['1/s', 'rate', '', 0, '/s', 'per s'],
  ['%', 'ratio', '', -2, 'percent'],
  ['ppm', 'ratio', '', -6],
  ['W/m2', 'irradiance', '', 0, 'W/m²'],
  ['mW/cm2', 'irradiance', '', 1, 'mW/cm²'],
];

/** `F` and `C` alone are never read: they are as often Fahrenheit and Celsius. */
const prefixedOnly: readonly (readonly [string, Dimension, string])[] = [
  ['F', 'capacitance', 'unpm'],
  ['C', 'charge', 'umnp'],
];

/** [symbol, dimension, factor, offset, other spellings] */
type Plain = readonly [string, Dimension, number, number, ...string[]];

const plain: readonly Plain[] = [
  ['°C', 'temperature', 1, 0, 'degC', '℃', 'Celsius', '° C', 'deg C'],
  ['°F', 'temperature', 5 / 9, 32, 'degF', '℉', 'Fahrenheit', '° F', 'deg F'],
  ['K', 'temperature', 1, 273.15, 'kelvin'],
  ['min', 'time', 60, 0, 'minute', 'minutes'],
  ['h', 'time', 3600, 0, 'hour', 'hours'],
  ['d', 'time', 86400, 0, 'day', 'days'],
  ['1/min', 'rate', 1 / 60, 0, '/min', 'per min'],
  ['1/h', 'rate', 1 / 3600, 0, '/h', 'per h'],
  ['Wh', 'energy', 3600, 0],
  ['kWh', 'energy', 3600e3, 0],
  ['in', 'length', 0.0254, 0, 'inch', 'inches'],
  ['ft', 'length', 0.3048, 0, 'foot', 'feet'],
  ['lb', 'mass', 0.45359237, 0, 'lbs', 'pound', 'pounds'],
  ['oz', 'mass', 0.028349523125, 0, 'ounce', 'ounces'],
  ['lbf', 'force', 4.4482216152605, 0],
  ['lbf·ft', 'torque', 1.3558179483314, 0, 'lbf ft', 'ft·lbf'],
  ['lbf·in', 'torque', 0.1129848290276167, 0, 'lbf in', 'in·lbf'],
  ['psi', 'pressure', 6894.757293168, 0],
  ['inH2O', 'pressure', 249.082, 0, 'inWC', 'in WC'],
  ['gal', 'volume', 0.003785411784, 0, 'gallon', 'gallons'],
];

function buildUnits(): ReadonlyMap<string, Unit> {
  const units = new Map<string, Unit>();
  const add = (spellings: readonly string[], unit: Unit) => {
    for (const spelling of spellings) units.set(spelling, unit);
  };
  const addPrefixed = (symbol: string, dimension: Dimension, prefixes: string, base: number) => {
    const also = symbol === 'ohm' ? ['ohm', 'ohms', 'Ω'] : [symbol];
    for (const prefix of prefixes) {
      const power = base + (prefixPowers[prefix] ?? 0);
      const unit = { symbol: prefix + symbol, dimension, power, factor: 1, offset: 0 };
      add(
        also.map((name) => prefix + name),
        unit,
      );
    }
  };
  for (const [symbol, dimension, prefixes, power, ...others] of metric) {
    add([symbol, ...others], { symbol, dimension, power, factor: 1, offset: 0 });
    addPrefixed(symbol, dimension, prefixes, power);
  }
  for (const [symbol, dimension, prefixes] of prefixedOnly) {
    addPrefixed(symbol, dimension, prefixes, 0);
  }
  for (const [symbol, dimension, factor, offset, ...others] of plain) {
    add([symbol, ...others], { symbol, dimension, power: 0, factor, offset });
  }
  return units;
}

const units = buildUnits();

/** One spelling for look-alikes: both micro signs become `u`, the ohm sign becomes Greek omega. */
function normalSpelling(text: string): string {
  return text
    .trim()
    .replace(/[\u00b5\u03bc]/gu, 'u')
    .replace(/\u2126/gu, 'Ω')
    .replace(/\s+/gu, ' ');
}

export function findUnit(text: string): Unit | null {
  return units.get(normalSpelling(text)) ?? null;
}

/** The symbol that stands `power` tens away from this one (`ohm`, 3 gives `kohm`), or null. */
export function unitTimes(symbol: string, power: number): string | null {
  const from = units.get(symbol);
  if (from === undefined || from.factor !== 1 || from.offset !== 0) return null;
  for (const unit of units.values()) {
    const alike = unit.dimension === from.dimension && unit.factor === 1 && unit.offset === 0;
    if (alike && unit.power === from.power + power) return unit.symbol;
  }
  return null;
}

/** All symbols of a dimension, for messages and keypads. */
export function symbolsOf(dimension: Dimension): string[] {
  const symbols = new Set<string>();
  for (const unit of units.values()) {
    if (unit.dimension === dimension) symbols.add(unit.symbol);
  }
  return [...symbols];
}

const confusions: Readonly<Record<string, string>> = {
  C: '°C for a temperature, or coulomb for a charge',
  F: '°F for a temperature, or farad for a capacitance',
  '°': '°C or °F',
  deg: '°C or °F',
  M: 'Mohm, MV or MW',
  k: 'kohm, kV or kW',
  meg: 'Mohm',
  R: 'ohm',
  O: 'ohm',
  VAC: 'V',
  VDC: 'V',
  'V AC': 'V',
  'V DC': 'V',
  'V~': 'V',
  mfd: 'uF',
  MFD: 'uF',
  hr: 'h',
  hrs: 'h',
  sec: 's',
  secs: 's',
  mins: 'min',
  '"': 'in',
  "'": 'ft',
  AWG: 'a wire gauge, which is not a unit: give the section in mm2',
};

/** What the writer may have meant, or null; the same slip in letter case first, then near spellings. */
export function suggestUnit(text: string): string | null {
  const written = normalSpelling(text);
  const confused = confusions[written];
  if (confused !== undefined) return confused;
  const lower = written.toLowerCase();
  const sameLetters = new Set<string>();
  for (const [spelling, unit] of units) {
    if (spelling.toLowerCase() === lower) sameLetters.add(unit.symbol);
  }
  if (sameLetters.size > 0) return [...sameLetters].join(' or ');
  for (const [spelling, unit] of units) {
    if (spelling.length > 2 && oneEditApart(spelling.toLowerCase(), lower)) return unit.symbol;
  }
  return null;
}

function oneEditApart(a: string, b: string): boolean {
  const [short, long] = a.length <= b.length ? [a, b] : [b, a];
  if (long.length - short.length > 1) return false;
  let at = 0;
  while (at < short.length && short[at] === long[at]) at += 1;
  const rest = long.slice(at + 1);
  return rest === short.slice(at) || rest === short.slice(at + 1);
}
