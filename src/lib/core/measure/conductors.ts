/** Resistance of cords and conductors by size, length and temperature. */
import { asWritten, bad, good, outOfRange, type Outcome } from './outcome.ts';

export type Metal = 'copper' | 'aluminium';
export type Strand = 'solid' | 'stranded';

export const conductorSource = 'NEC Chapter 9 Table 8, uncoated conductors at 75 °C';
const metresPerKilofoot = 304.8;
/** Zero-resistance constants that fit the coefficients of Table 8: 0.00323 and 0.00330 at 75 °C. */
const constants: Readonly<Record<Metal, number>> = { copper: 234.5, aluminium: 228 };

type Row = Readonly<Partial<Record<Strand, number>>>;

/** Ohm per thousand feet at 75 °C. Missing figures were not legible or are not in the table. */
const table: Readonly<Record<Metal, Readonly<Record<number, Row>>>> = {
  copper: {
    18: { solid: 7.77, stranded: 7.95 },
    16: { solid: 4.89, stranded: 4.99 },
    14: { solid: 3.07, stranded: 3.14 },
    12: { solid: 1.93, stranded: 1.98 },
    10: { solid: 1.21, stranded: 1.24 },
    8: { solid: 0.764, stranded: 0.778 },
    6: { stranded: 0.491 },
  },
  aluminium: {
    18: { solid: 12.8, stranded: 13.1 },
    16: { solid: 8.05, stranded: 8.21 },
    14: { solid: 5.06, stranded: 5.17 },
    12: { solid: 3.18, stranded: 3.25 },
    10: { stranded: 2.04 },
    8: { stranded: 1.28 },
    6: { stranded: 0.808 },
  },
};

/** Ohm of one conductor (one way) of `metres` at `celsius`. */
export function conductorOhms(of: {
  awg: number;
  metal: Metal;
  strand?: Strand;
  celsius: number;
  metres: number;
}): Outcome<number> {
  const { awg, metal, strand = 'stranded', celsius, metres } = of;
  const k = constants[metal];
  if (k === undefined)
    return bad('unknown-metal', `“${asWritten(metal)}” is not copper or aluminium.`);
  const problem =
    outOfRange('The temperature', celsius, '°C', { above: -k }) ??
    outOfRange('The length', metres, 'm', { least: 0 });
  if (problem !== null) return { ok: false, problem };
  const perKilofoot = table[metal][awg]?.[strand];
  if (perKilofoot === undefined) {
    const sizes = Object.entries(table[metal]).filter(([, row]) => row[strand] !== undefined);
    return bad(
      'size-not-listed',
      `${strand} ${metal} of AWG ${asWritten(awg)} is not in the table here; it holds AWG ${sizes.map(([size]) => size).join(', ')}.`,
    );
  }
  return good(((perKilofoot * metres) / metresPerKilofoot) * ((k + celsius) / (k + 75)));
}

/** Copper at 20 °C: 1/58 ohm·mm²/m (IEC 60028). */
const copperPerMetre = 1 / 58;

/**
 * Ohm of one copper conductor of a cord from its section in mm². The nominal section is taken, so the
 * answer is on the low side of what IEC 60228 allows a flexible conductor.
 */
export function cordOhms(of: { metres: number; mm2: number; celsius?: number }): Outcome<number> {
  const { metres, mm2, celsius = 20 } = of;
  const problem =
    outOfRange('The cord length', metres, 'm', { least: 0 }) ??
    outOfRange('The section', mm2, 'mm2', { above: 0 }) ??
    outOfRange('The temperature', celsius, '°C', { above: -constants.copper });
  if (problem !== null) return { ok: false, problem };
  const warmer = (constants.copper + celsius) / (constants.copper + 20);
  return good(((copperPerMetre * metres) / mm2) * warmer);
}
