import {
  bondLimit,
  insulationLimit,
  leakageLimit,
  microwaveLimit,
  type ProtectionClass,
  type TestRule,
} from '../../lib/core/measure/after-repair.ts';
import { cordOhms } from '../../lib/core/measure/conductors.ts';
import { showNumber } from '../../lib/core/measure/quantity.ts';
import { orUnusable, type Calculation } from './calculation.ts';
import { squareMillimetres } from './parts.ts';

const rules: readonly TestRule[] = ['en50678', 'uk', 'iec60335', 'asnzs3760'];
const classes: readonly ProtectionClass[] = ['I', 'II', 'III'];

const bond: Calculation = {
  usage: `--length M --section MM2 --rule ${rules.join('|')}`,
  flags: ['length', 'section', 'rule'],
  compute(flags) {
    flags.need('length', 'section', 'rule');
    const metres = flags.si('length', 'length', 'm');
    const mm2 = squareMillimetres(flags.si('section', 'area', 'mm2'));
    const limit = orUnusable(bondLimit(flags.oneOf('rule', rules), metres, mm2));
    const cord = orUnusable(cordOhms({ metres, mm2 }));
    return {
      result: { ohms: limit.value, cord },
      source: limit.source,
      origin: 'code',
      lines: [
        `At most ${showNumber(limit.value, 4)} ohm; one conductor of the cord has ${showNumber(cord, 3)} ohm.`,
      ],
    };
  },
};

const insulation: Calculation = {
  usage: '--class I|II|III --rule en50678|uk|asnzs3760 [--heating W]',
  flags: ['class', 'rule', 'heating'],
  compute(flags) {
    flags.need('class', 'rule');
    const limit = orUnusable(
      insulationLimit(
        flags.oneOf('rule', rules),
        flags.oneOf('class', classes),
        flags.optionalSi('heating', 'power', 'W') ?? 0,
      ),
    );
    return {
      result: { ohms: limit.value },
      source: limit.source,
      origin: 'code',
      lines: [`At least ${showNumber(limit.value / 1e6)} Mohm.`],
    };
  },
};

const leakage: Calculation = {
  usage: `--class I|II|III --rule ${rules.join('|')} [--use handheld|portable|stationary] [--heating W]`,
  flags: ['class', 'rule', 'use', 'heating'],
  compute(flags) {
    flags.need('class', 'rule');
    const limit = orUnusable(
      leakageLimit({
        rule: flags.oneOf('rule', rules),
        protection: flags.oneOf('class', classes),
        use: flags.has('use')
          ? flags.oneOf<'handheld' | 'portable' | 'stationary'>('use', [
              'handheld',
              'portable',
              'stationary',
            ])
          : undefined,
        heatingWatts: flags.optionalSi('heating', 'power', 'W'),
      }),
    );
    return {
      result: { amps: limit.value },
      source: limit.source,
      origin: 'code',
      lines: [`At most ${showNumber(limit.value * 1000)} mA.`],
    };
  },
};

const microwave: Calculation = {
  usage: '--when in-service|before-purchase',
  flags: ['when'],
  compute(flags) {
    const when = flags.oneOf('when', ['in-service', 'before-purchase'], 'in-service');
    const limit = microwaveLimit(when === 'in-service' ? 'inService' : 'beforePurchase');
    return {
      result: { wattsPerSquareMetre: limit.value, milliwattsPerSquareCentimetre: limit.value / 10 },
      source: limit.source,
      origin: 'code',
      lines: [
        `At most ${limit.value / 10} mW/cm2 at 5 cm or more, with 275 ml of water as the load.`,
      ],
    };
  },
};

export const afterRepair = { bond, insulation, leakage, microwave };
