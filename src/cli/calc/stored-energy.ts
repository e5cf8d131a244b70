import { showNumber, fromSi } from '../../lib/core/measure/quantity.ts';
import { burnThreshold, touchSource } from '../../lib/core/measure/touch.ts';
import {
  coolingMinutes,
  coolingRate,
  dischargeSeconds,
  plugPinCheck,
  plugPinLimit,
  storedJoules,
  temperatureAfter,
  timeConstant,
  voltsAfter,
} from '../../lib/core/measure/waits.ts';
import { Unusable } from '../verb.ts';
import { orUnusable, type Calculation, type Flags } from './calculation.ts';

const discharge: Calculation = {
  usage:
    '--from V --to V | --from V --after T, with --tau T or --capacitance C [--resistance R] [--meter R]',
  flags: ['from', 'to', 'after', 'tau', 'capacitance', 'resistance', 'meter'],
  compute(flags) {
    const from = flags.si('from', 'voltage', 'V');
    const tau = tauOf(flags);
    const capacitance = flags.optionalSi('capacitance', 'capacitance');
    const joules = capacitance === undefined ? {} : { joules: storedJoules(capacitance, from) };
    const source = 'V(t) = V0·e^(−t/τ), τ = R·C, E = ½·C·V²';
    const warning = 'A wait is no proof: measure what is left.';
    if (flags.has('to') === flags.has('after')) {
      throw new Unusable(
        'Give --to V for the wait, or --after T for the voltage left; one of them.',
      );
    }
    if (flags.has('to')) {
      const to = flags.si('to', 'voltage', 'V');
      const seconds = orUnusable(dischargeSeconds({ from, to, tau }));
      return {
        result: { seconds, tau, ...joules },
        source,
        origin: 'formula',
        lines: [
          `${showNumber(seconds)} s until ${showNumber(to)} V (τ ${showNumber(tau)} s). ${warning}`,
        ],
      };
    }
    const after = flags.si('after', 'time');
    const volts = orUnusable(voltsAfter({ from, seconds: after, tau }));
    return {
      result: { volts, tau, ...joules },
      source,
      origin: 'formula',
      lines: [`${showNumber(volts)} V left after ${showNumber(after)} s. ${warning}`],
    };
  },
};

function tauOf(flags: Flags): number {
  if (flags.has('tau')) {
    if (flags.has('resistance') || flags.has('meter')) {
      throw new Unusable('Give --tau, or --capacitance with --resistance and --meter; not both.');
    }
    const tau = flags.si('tau', 'time');
    if (tau > 0) return tau;
    throw new Unusable('--tau must be more than zero.');
  }
  if (!flags.has('capacitance')) {
    throw new Unusable('Missing flags: --tau, or --capacitance with --resistance or --meter.');
  }
  return orUnusable(
    timeConstant({
      capacitance: flags.si('capacitance', 'capacitance'),
      bleeder: flags.optionalSi('resistance', 'resistance'),
      meter: flags.optionalSi('meter', 'resistance'),
    }),
  );
}

const cooling: Calculation = {
  usage:
    '--from T --ambient T, --to T or --at TIME, with --k (per minute) or a second reading --then T --after TIME',
  flags: ['from', 'ambient', 'to', 'at', 'k', 'then', 'after'],
  compute(flags) {
    flags.need('from', 'ambient');
    const { unit } = flags.quantity('from', 'temperature');
    const first = flags.si('from', 'temperature');
    const ambient = flags.si('ambient', 'temperature');
    if (flags.has('to') === flags.has('at')) {
      throw new Unusable(
        'Give --to T for the wait, or --at TIME for the temperature then; one of them.',
      );
    }
    const k = rateOf(flags, first, ambient);
    const source = 'Newton’s law of cooling, T = Ta + (T0 − Ta)·e^(−kt)';
    const warning = 'A wait is no proof: measure the surface before you touch it.';
    if (flags.has('to')) {
      const to = flags.si('to', 'temperature');
      const minutes = orUnusable(coolingMinutes({ from: first, ambient, to, k }));
      const left = flags.has('after')
        ? { minutesLeft: Math.max(0, minutes - flags.si('after', 'time') / 60) }
        : {};
      return {
        result: { minutes, ...left, k },
        source,
        origin: 'formula',
        lines: [
          `${showNumber(minutes)} min from the first reading (k ${showNumber(k)} per minute). ${warning}`,
        ],
      };
    }
    const minutes = flags.si('at', 'time') / 60;
    const celsius = orUnusable(temperatureAfter({ from: first, ambient, minutes, k }));
    const temperature = fromSi(celsius, unit, 'temperature') ?? celsius;
    return {
      result: { temperature, unit, k },
      source,
      origin: 'formula',
      lines: [`${showNumber(temperature)} ${unit} after ${showNumber(minutes)} min. ${warning}`],
    };
  },
};

/** `k` is the same number on every scale of temperature, so one reading may be in °F. */
function rateOf(flags: Flags, first: number, ambient: number): number {
  if (flags.has('k')) {
    if (flags.has('then')) throw new Unusable('Give --k, or --then with --after; not both.');
    return flags.si('k', 'rate', '1/min') * 60;
  }
  if (!flags.has('then') || !flags.has('after')) {
    throw new Unusable('Missing flags: --k, or --then with --after.');
  }
  const then = flags.si('then', 'temperature');
  return orUnusable(coolingRate({ first, then, ambient, minutes: flags.si('after', 'time') / 60 }));
}

const plugPins: Calculation = {
  usage: '--volts V --capacitance C --resistance R',
  flags: ['volts', 'capacitance', 'resistance'],
  compute(flags) {
    flags.need('volts', 'capacitance', 'resistance');
    const check = orUnusable(
      plugPinCheck({
        mains: flags.si('volts', 'voltage', 'V'),
        capacitance: flags.si('capacitance', 'capacitance'),
        bleeder: flags.si('resistance', 'resistance'),
      }),
    );
    const says = check.exempt
      ? 'Up to 0.1 uF across the pins the standard does not ask.'
      : `${showNumber(check.volts)} V after 1 s; the limit is 34 V (a bleeder up to ${showNumber(check.largestBleeder / 1000)} kohm).`;
    return {
      result: { ...check, says },
      source: plugPinLimit.source,
      origin: 'code',
      lines: [says],
    };
  },
};

const burn: Calculation = {
  usage: '--time T',
  flags: ['time'],
  compute(flags) {
    const celsius = orUnusable(burnThreshold(flags.si('time', 'time') / 60));
    return {
      result: { celsius },
      source: touchSource,
      origin: 'code',
      lines: [`${celsius} °C is the burn threshold for that contact; a threshold, not a limit.`],
    };
  },
};

export const storedEnergy = { discharge, cooling, 'plug-pins': plugPins, burn };
