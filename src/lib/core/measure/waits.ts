/**
 * The physics of waits: a capacitor through a resistor, a hot thing in a cooler room.
 *
 * A wait is never proof. A bleeder may be open and a fan may have stopped: the residual is measured.
 */
import { bad, good, outOfRange, type Outcome } from './outcome.ts';

/** IEC 60335-1, 22.5: at most 34 V between the pins of a plug 1 s after it is pulled at the peak. */
export const plugPinLimit = {
  volts: 34,
  seconds: 1,
  exemptFarad: 0.1e-6,
  source: 'IEC 60335-1, 22.5',
};
/** NEC 460.6(A): at most 50 V within 1 min for capacitors up to 600 V (1000 V in newer editions). */
export const capacitorMinuteLimit = { volts: 50, seconds: 60, source: 'NEC 460.6(A)' };
/** Our own limit before fingers, below every published one. */
export const touchVolts = { volts: 10, source: 'default' };

/** Seconds from `from` volts to `to` volts with time constant `tau` seconds: τ·ln(from/to). */
export function dischargeSeconds(of: { from: number; to: number; tau: number }): Outcome<number> {
  const { from, to, tau } = of;
  const problem =
    outOfRange('The starting voltage', from, 'V', { above: 0 }) ??
    outOfRange('The voltage to reach', to, 'V', { above: 0 }) ??
    outOfRange('The time constant', tau, 's', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  return good(from <= to ? 0 : tau * Math.log(from / to));
}

/** Volts left after `seconds`: from·e^(−t/τ). */
export function voltsAfter(of: { from: number; seconds: number; tau: number }): Outcome<number> {
  const { from, seconds, tau } = of;
  const problem =
    outOfRange('The starting voltage', from, 'V', { above: 0 }) ??
    outOfRange('The time', seconds, 's', { least: 0 }) ??
    outOfRange('The time constant', tau, 's', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  return good(from * Math.exp(-seconds / tau));
}

/**
 * τ = R·C in seconds, farad and ohm; a meter across the capacitor counts as a second resistor. With
 * no bleeder and no meter there is no time constant: `no-bleeder`, discharge through a resistor and measure.
 */
export function timeConstant(of: {
  capacitance: number;
  bleeder?: number | undefined;
  meter?: number | undefined;
}): Outcome<number> {
  const problem =
    outOfRange('The capacitance', of.capacitance, 'farad', { above: 0 }) ??
    (of.bleeder === undefined
      ? null
      : outOfRange('The bleeder', of.bleeder, 'ohm', { above: 0 })) ??
    (of.meter === undefined ? null : outOfRange('The meter', of.meter, 'ohm', { above: 0 }));
  if (problem !== null) return { ok: false, problem };
  const conductance = (of.bleeder ? 1 / of.bleeder : 0) + (of.meter ? 1 / of.meter : 0);
  if (conductance === 0) {
    return bad(
      'no-bleeder',
      'Nothing drains this capacitor, so no wait is long enough: discharge it through a resistor with an insulated tool, then measure.',
    );
  }
  return good(of.capacitance / conductance);
}

/** ½·C·V² in joules. */
export function storedJoules(capacitance: number, volts: number): number {
  return (capacitance * volts * volts) / 2;
}

/** The largest resistance that still reaches `to` volts within `seconds`: t / (C·ln(from/to)), in ohm. */
export function largestBleeder(of: {
  capacitance: number;
  from: number;
  to: number;
  seconds: number;
}): Outcome<number> {
  const problem =
    outOfRange('The capacitance', of.capacitance, 'farad', { above: 0 }) ??
    outOfRange('The starting voltage', of.from, 'V', { above: 0 }) ??
    outOfRange('The voltage to reach', of.to, 'V', { above: 0, most: of.from }) ??
    outOfRange('The time', of.seconds, 's', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  if (of.from === of.to) return good(Infinity);
  return good(of.seconds / (of.capacitance * Math.log(of.from / of.to)));
}

/**
 * Whether the pins of a plug are below 34 V one second after it was pulled at the peak of `mains`
 * volts (rms). Up to 0.1 µF across the pins the standard does not ask (IEC 60335-1, 22.5).
 */
export function plugPinCheck(of: {
  mains: number;
  capacitance: number;
  bleeder: number;
}): Outcome<{ exempt: boolean; holds: boolean; volts: number; largestBleeder: number }> {
  const problem =
    outOfRange('The mains voltage', of.mains, 'V', { above: 0 }) ??
    outOfRange('The capacitance', of.capacitance, 'farad', { above: 0 }) ??
    outOfRange('The bleeder', of.bleeder, 'ohm', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  const peak = of.mains * Math.SQRT2;
  const { volts: limit, seconds, exemptFarad } = plugPinLimit;
  const volts = peak * Math.exp(-seconds / (of.bleeder * of.capacitance));
  const exempt = of.capacitance <= exemptFarad;
  const largest = peak <= limit ? Infinity : seconds / (of.capacitance * Math.log(peak / limit));
  return good({ exempt, holds: exempt || volts <= limit, volts, largestBleeder: largest });
}

/**
 * Minutes until something at `from` °C in a room of `ambient` °C reaches `to` °C, cooling by `k` per
 * minute (Newton): ln((from − ambient)/(to − ambient))/k. Any one temperature scale will do.
 */
export function coolingMinutes(of: {
  from: number;
  ambient: number;
  to: number;
  k: number;
}): Outcome<number> {
  const problem =
    outOfRange('The temperature now', of.from, '°C') ??
    outOfRange('The room temperature', of.ambient, '°C') ??
    outOfRange('The temperature to reach', of.to, '°C') ??
    outOfRange('The cooling rate', of.k, 'per minute', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  if (of.from <= of.to) return good(0);
  if (of.to <= of.ambient) {
    return bad(
      'never-reached',
      `It never cools to ${of.to} in a room of ${of.ambient}: the limit must be above the room temperature.`,
    );
  }
  return good(Math.log((of.from - of.ambient) / (of.to - of.ambient)) / of.k);
}

/** The temperature after `minutes` of cooling: ambient + (from − ambient)·e^(−kt). */
export function temperatureAfter(of: {
  from: number;
  ambient: number;
  minutes: number;
  k: number;
}): Outcome<number> {
  const problem =
    outOfRange('The temperature now', of.from, '°C') ??
    outOfRange('The room temperature', of.ambient, '°C') ??
    outOfRange('The time', of.minutes, 'min', { least: 0 }) ??
    outOfRange('The cooling rate', of.k, 'per minute', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  return good(of.ambient + (of.from - of.ambient) * Math.exp(-of.k * of.minutes));
}

/** The cooling rate per minute from two readings `minutes` apart: ln((first − ambient)/(then − ambient))/t. */
export function coolingRate(of: {
  first: number;
  then: number;
  ambient: number;
  minutes: number;
}): Outcome<number> {
  const problem =
    outOfRange('The first temperature', of.first, '°C') ??
    outOfRange('The second temperature', of.then, '°C') ??
    outOfRange('The room temperature', of.ambient, '°C') ??
    outOfRange('The time between the readings', of.minutes, 'min', { above: 0 });
  if (problem !== null) return { ok: false, problem };
  if (!(of.first > of.then && of.then > of.ambient)) {
    return bad(
      'not-cooling',
      `From ${of.first} to ${of.then} in a room of ${of.ambient} is not cooling: read again, the second lower than the first and both above the room.`,
    );
  }
  return good(Math.log((of.first - of.ambient) / (of.then - of.ambient)) / of.minutes);
}
