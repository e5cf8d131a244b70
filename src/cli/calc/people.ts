import {
  ansiCutLevel,
  enCutLevel,
  gloveClassNames,
  gloveProblems,
  gloveSource,
} from '../../lib/core/measure/hands.ts';
import {
  distanceMultiplier,
  gripMultiplier,
  horizontalMultiplier,
  liftingIndex,
  liftingLimit,
  liftingSource,
  twistMultiplier,
  verticalMultiplier,
  type WeightUnit,
} from '../../lib/core/measure/lifting.ts';
import { showNumber, fromSi } from '../../lib/core/measure/quantity.ts';
import type { Outcome } from '../../lib/core/measure/outcome.ts';
import { Unusable } from '../verb.ts';
import { orUnusable, plainNumber, type Calculation, type Flags } from './calculation.ts';

const glove: Calculation = {
  usage: '--class C --volts V [--current ac|dc] [--tested DATE --issued DATE --on DATE]',
  flags: ['class', 'volts', 'current', 'tested', 'issued', 'on'],
  compute(flags) {
    flags.need('class', 'volts');
    const problems = gloveProblems({
      class: flags.oneOf('class', gloveClassNames),
      volts: flags.si('volts', 'voltage', 'V'),
      current: flags.oneOf<'ac' | 'dc'>('current', ['ac', 'dc'], 'ac'),
      tested: flags.given['tested'],
      issued: flags.given['issued'],
      on: flags.given['on'],
    });
    const fatal = problems.find(({ code }) => notAnAnswer.has(code));
    if (fatal !== undefined) throw new Unusable(fatal.says);
    const dated = flags.has('tested');
    const nothing = dated
      ? 'Nothing stands against these gloves by class and dates; air-test and look them over before use.'
      : 'The class is enough for this voltage; the test dates were not given.';
    const says = problems.length === 0 ? nothing : problems.map((each) => each.says).join(' ');
    return {
      result: { ok: problems.length === 0, says, codes: problems.map(({ code }) => code) },
      source: gloveSource,
      origin: 'code',
      lines: [says],
    };
  },
};

const notAnAnswer: ReadonlySet<string> = new Set([
  'unknown-class',
  'not-a-date',
  'dates-missing',
  'not-a-number',
  'out-of-range',
]);

const cut: Calculation = {
  usage: '--grams N | --newtons N',
  flags: ['grams', 'newtons'],
  compute(flags) {
    if (flags.has('grams') === flags.has('newtons')) {
      throw new Unusable('Give --grams (ANSI/ISEA 105) or --newtons (EN 388), one of them.');
    }
    const ansi = flags.has('grams');
    const level = orUnusable(
      ansi ? ansiCutLevel(flags.number('grams')) : enCutLevel(flags.number('newtons')),
    );
    return {
      result: { level },
      source: ansi ? 'ANSI/ISEA 105-2016' : 'EN 388:2016, TDM test',
      origin: 'code',
      lines: [
        `${level === null ? 'Below the first level' : `Level ${level}`}; a cut level says nothing about voltage.`,
      ],
    };
  },
};

const lift: Calculation = {
  usage:
    '--h --v --d --a --f --c, each a multiplier up to 1 or a measure (15in, 40cm, 30 degrees, good|fair|poor), --unit lb|kg [--load N]',
  flags: ['h', 'v', 'd', 'a', 'f', 'c', 'unit', 'load'],
  compute(flags) {
    flags.need('h', 'v', 'd', 'a', 'f', 'c');
    const unit = flags.oneOf<WeightUnit>('unit', ['lb', 'kg'], 'lb');
    const multipliers = {
      h: measured(flags, 'h', unit, horizontalMultiplier),
      v: measured(flags, 'v', unit, verticalMultiplier),
      d: measured(flags, 'd', unit, distanceMultiplier),
      a: twist(flags),
      f: flags.number('f'),
      c: grip(flags, unit),
    };
    const { limit, exact } = orUnusable(liftingLimit(multipliers, unit));
    const index = flags.has('load') ? { index: liftingIndex(load(flags, unit), exact) } : {};
    return {
      result: { limit, exact, unit, multipliers, ...index },
      source: liftingSource,
      origin: 'code',
      lines: [`At most ${showNumber(limit)} ${unit} for one person with both hands.`],
    };
  },
};

/** A bare number up to 1 is a multiplier; above that a measure, in inches beside lb and in cm beside kg. */
function measured(
  flags: Flags,
  name: string,
  unit: WeightUnit,
  multiplierOf: (cm: number) => Outcome<number>,
): number {
  const bare = plainNumber(flags.text(name));
  if (bare !== null && bare <= 1) return bare;
  return orUnusable(multiplierOf(centimetres(flags, name, unit)));
}

function centimetres(flags: Flags, name: string, unit: WeightUnit): number {
  return flags.si(name, 'length', unit === 'lb' ? 'in' : 'cm') * 100;
}

function twist(flags: Flags): number {
  const degrees = plainNumber(flags.text('a').replace(/\s*(?:°|deg|degrees)$/u, ''));
  if (degrees === null)
    throw new Unusable(`--a is “${flags.text('a')}”; give a multiplier or degrees.`);
  const bare = plainNumber(flags.text('a'));
  return bare !== null && bare <= 1 ? bare : orUnusable(twistMultiplier(degrees));
}

function grip(flags: Flags, unit: WeightUnit): number {
  if (plainNumber(flags.text('c')) !== null) return flags.number('c');
  const kind = flags.oneOf('c', ['good', 'fair', 'poor']);
  if (kind !== 'fair') return gripMultiplier(kind, 0);
  const height = plainNumber(flags.text('v'));
  if (height !== null && height <= 1) {
    throw new Unusable(
      'A fair grip depends on the height: give --v as a measure, or --c as a multiplier.',
    );
  }
  return gripMultiplier(kind, centimetres(flags, 'v', unit));
}

function load(flags: Flags, unit: WeightUnit): number {
  return fromSi(flags.si('load', 'mass', unit), unit, 'mass') ?? NaN;
}

export const people = { glove, cut, lift };
