/**
 * Heating elements: ohms from the rating plate, and the deviation that IEC 60335-1 Table 1 allows in
 * power input. The plate counts hot; a nickel-chromium element reads a few percent low when cold (from
 * memory), which the lower bound in ohms leaves room for.
 */
import { good, outOfRange, type Outcome } from './outcome.ts';

export const deviationSource = 'IEC 60335-1, 10.1, Table 1';

export type Load = 'heating' | 'combined' | 'motor';

/** Least power is null where the table sets no lower deviation. */
export interface PowerBand {
  readonly least: number | null;
  readonly most: number;
}

/**
 * The power input allowed at rated voltage, in watts. `combined` is for appliances whose motor part
 * is at most half of the power; beyond that take `motor`.
 */
export function powerBand(watts: number, load: Load): Outcome<PowerBand> {
  const problem = outOfRange('The rated power', watts, 'W', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  if (watts <= 25) return good({ least: null, most: watts * 1.2 });
  if (load === 'motor') {
    const most = watts <= 300 ? watts * 1.2 : watts + Math.max(watts * 0.15, 60);
    return good({ least: null, most });
  }
  if (watts <= 200) return good({ least: watts * 0.9, most: watts * 1.1 });
  return good({ least: watts * 0.9, most: watts + Math.max(watts * 0.05, 20) });
}

export interface ElementOhms {
  readonly ohms: number;
  readonly least: number;
  /** Null where the table sets no lower power. */
  readonly most: number | null;
  readonly amps: number;
}

/** V²/P in ohm, and the band that corresponds to the allowed power: V²/P(most) to V²/P(least). */
export function elementOhms(volts: number, watts: number): Outcome<ElementOhms> {
  const problem = outOfRange('The rated voltage', volts, 'V', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  const band = powerBand(watts, 'heating');
  if (!band.ok) return band;
  const square = volts * volts;
  const { least, most } = band.value;
  return good({
    ohms: square / watts,
    least: square / most,
    most: least === null ? null : square / least,
    amps: watts / volts,
  });
}

/** Watts that an element of this rating gives on another voltage: P·(V/Vrated)². */
export function wattsAt(watts: number, ratedVolts: number, volts: number): number {
  return watts * (volts / ratedVolts) ** 2;
}
