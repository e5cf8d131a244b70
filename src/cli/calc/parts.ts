import { capacitorBand, usualTolerance } from '../../lib/core/measure/capacitors.ts';
import { conductorOhms, conductorSource, cordOhms } from '../../lib/core/measure/conductors.ts';
import {
  deviationSource,
  elementOhms,
  powerBand,
  type Load,
} from '../../lib/core/measure/elements.ts';
import { fromSi, showNumber, siSpan } from '../../lib/core/measure/quantity.ts';
import {
  nameWindings,
  windingMetals,
  windingSource,
  windingTemperature,
  type WindingMetal,
} from '../../lib/core/measure/windings.ts';
import { orUnusable, type Calculation } from './calculation.ts';

const element: Calculation = {
  usage: '--volts V --watts W [--measured R]',
  flags: ['volts', 'watts', 'measured'],
  compute(flags) {
    flags.need('volts', 'watts');
    const volts = flags.si('volts', 'voltage', 'V');
    const band = orUnusable(elementOhms(volts, flags.si('watts', 'power', 'W')));
    const { ohms, least, most } = band;
    const range = `${showNumber(least, 4)} to ${most === null ? 'any' : showNumber(most, 4)} ohm`;
    const source = `V²/P within ${deviationSource}`;
    if (!flags.has('measured')) {
      return {
        result: { ...band, verdict: null },
        source,
        origin: 'default',
        lines: [`${showNumber(ohms, 4)} ohm; accepted ${range}.`],
      };
    }
    const measured = flags.si('measured', 'resistance');
    const inside = measured >= least && (most === null || measured <= most);
    const verdict = inside ? 'pass' : 'fail';
    const amps = measured > 0 ? volts / measured : null;
    return {
      result: { ...band, measured, amps, verdict },
      source,
      origin: 'default',
      lines: [`${showNumber(measured)} ohm: ${verdict}; accepted ${range}.`],
    };
  },
};

const winding: Calculation = {
  usage: `--cold R --cold-at T --hot R --metal ${Object.keys(windingMetals).join('|')} [--room-now T]`,
  flags: ['cold', 'cold-at', 'hot', 'metal', 'room-now'],
  compute(flags) {
    flags.need('cold', 'cold-at', 'hot', 'metal');
    const roomNow = flags.optionalSi('room-now', 'temperature');
    const { temperature, rise } = orUnusable(
      windingTemperature({
        cold: flags.si('cold', 'resistance', 'ohm'),
        coldAt: flags.si('cold-at', 'temperature'),
        hot: flags.si('hot', 'resistance', 'ohm'),
        metal: flags.oneOf('metal', Object.keys(windingMetals) as WindingMetal[]),
        ...(roomNow === undefined ? {} : { roomNow }),
      }),
    );
    return {
      result: { temperature, rise },
      source: windingSource,
      origin: 'formula',
      lines: [`${showNumber(temperature, 5)} °C, a rise of ${showNumber(rise, 5)} K.`],
    };
  },
};

const deviation: Calculation = {
  usage: '--watts W --load heating|combined|motor',
  flags: ['watts', 'load'],
  compute(flags) {
    flags.need('watts', 'load');
    const load = flags.oneOf<Load>('load', ['heating', 'combined', 'motor']);
    const { least, most } = orUnusable(powerBand(flags.si('watts', 'power', 'W'), load));
    return {
      result: { leastWatts: least, mostWatts: most },
      source: deviationSource,
      origin: 'code',
      lines: [
        `${least === null ? 'No lower limit' : `${showNumber(least)} W`} to ${showNumber(most)} W.`,
      ],
    };
  },
};

const windings: Calculation = {
  usage: '--r12 R --r13 R --r23 R',
  flags: ['r12', 'r13', 'r23'],
  compute(flags) {
    flags.need('r12', 'r13', 'r23');
    const named = orUnusable(
      nameWindings({
        '1-2': flags.si('r12', 'resistance'),
        '1-3': flags.si('r13', 'resistance'),
        '2-3': flags.si('r23', 'resistance'),
      }),
    );
    return {
      result: { ...named },
      source: 'start–run = start–common + common–run; common practice, no published source',
      origin: 'default',
      lines: [`Common is ${named.common}, start is ${named.start}, run is ${named.run}.`],
    };
  },
};

const capacitor: Calculation = {
  usage: '--rated C [--percent P] [--measured C]',
  flags: ['rated', 'percent', 'measured'],
  compute(flags) {
    const rated = flags.quantity('rated', 'capacitance');
    const percent = flags.has('percent') ? flags.number('percent') : usualTolerance;
    const { least, most } = orUnusable(capacitorBand(rated.value, percent));
    const measured = flags.has('measured')
      ? fromSi(flags.si('measured', 'capacitance'), rated.unit, 'capacitance')
      : null;
    const inside = measured !== null && measured >= least && measured <= most;
    const verdict = measured === null ? null : inside ? 'pass' : 'fail';
    const figures = `${showNumber(least)} to ${showNumber(most)} ${rated.unit}`;
    return {
      result: { least, most, unit: rated.unit, measured, verdict },
      source: flags.has('percent') ? 'the tolerance given' : 'common practice; the label decides',
      origin: flags.has('percent') ? 'maker' : 'default',
      lines: [verdict === null ? `${figures}.` : `${verdict}: accepted ${figures}.`],
    };
  },
};

const conductor: Calculation = {
  usage: '--awg N --metal copper|aluminium --at T --length M [--strand stranded|solid]',
  flags: ['awg', 'metal', 'at', 'length', 'strand'],
  compute(flags) {
    flags.need('awg', 'metal', 'at', 'length');
    const ohms = orUnusable(
      conductorOhms({
        awg: flags.number('awg'),
        metal: flags.oneOf('metal', ['copper', 'aluminium']),
        strand: flags.oneOf('strand', ['stranded', 'solid'], 'stranded'),
        celsius: flags.si('at', 'temperature'),
        metres: flags.si('length', 'length', 'm'),
      }),
    );
    return {
      result: { ohms },
      source: conductorSource,
      origin: 'code',
      lines: [`${showNumber(ohms, 4)} ohm, one way.`],
    };
  },
};

const cord: Calculation = {
  usage: '--length M --section MM2 [--at T]',
  flags: ['length', 'section', 'at'],
  compute(flags) {
    flags.need('length', 'section');
    const ohms = orUnusable(
      cordOhms({
        metres: flags.si('length', 'length', 'm'),
        mm2: squareMillimetres(flags.si('section', 'area', 'mm2')),
        celsius: flags.optionalSi('at', 'temperature') ?? 20,
      }),
    );
    return {
      result: { ohms },
      source: 'copper, 1/58 ohm·mm²/m at 20 °C (IEC 60028)',
      origin: 'formula',
      lines: [`${showNumber(ohms, 4)} ohm, one way.`],
    };
  },
};

export function squareMillimetres(squareMetres: number): number {
  return squareMetres / siSpan(1, 'mm2');
}

export const parts = { element, winding, deviation, windings, capacitor, conductor, cord };
