import { checkOnKnownSource, fitFor } from '../../lib/core/measure/instrument.ts';
import {
  judgeContacts,
  type ContactKind,
  type Terminals,
} from '../../lib/core/measure/contacts.ts';
import {
  asQuantity,
  fromSi,
  showNumber,
  siSpan,
  type Quantity,
} from '../../lib/core/measure/quantity.ts';
import { judgeSupply } from '../../lib/core/measure/supply.ts';
import { findTerminals, type Beep } from '../../lib/core/measure/terminal-finder.ts';
import {
  accuracyBand,
  conformance as conformanceOf,
  guardBand,
  judgeNumber,
  type Limits,
} from '../../lib/core/measure/uncertainty.ts';
import { judgeReading } from '../../lib/core/measure/verdict.ts';
import { Unusable } from '../verb.ts';
import { plainNumber, type Answer, type Calculation, type Flags } from './calculation.ts';

const verdictSource =
  'guarded acceptance by the whole interval (ISO 14253-1, ILAC-G8:09/2019, JCGM 106:2012)';

const verdict: Calculation = {
  usage: '--shown X --percent P --counts N --resolution X [--least X] [--most X] [--lead X]',
  flags: ['shown', 'percent', 'counts', 'resolution', 'least', 'most', 'lead'],
  compute(flags) {
    flags.need('shown', 'percent', 'counts', 'resolution');
    if (!flags.has('least') && !flags.has('most')) {
      throw new Unusable('Missing flags: --least or --most, the limit to judge against.');
    }
    return plainNumber(flags.text('shown')) === null ? unitVerdict(flags) : plainVerdict(flags);
  },
};

function plainVerdict(flags: Flags): Answer {
  const accuracy = { percent: atLeastZero(flags, 'percent'), counts: atLeastZero(flags, 'counts') };
  const shown = flags.number('shown');
  const half = accuracyBand(shown, accuracy, atLeastZero(flags, 'resolution'));
  const net = shown - (flags.has('lead') ? atLeastZero(flags, 'lead') : 0);
  const limits = plainLimits(flags);
  const judged = judgeNumber(net, half, limits);
  const lines = [
    `${judged.verdict}: ${showNumber(net)} lies between ${showNumber(judged.low)} and ${showNumber(judged.high)}; probability inside ${showNumber(judged.probability, 3)}.`,
  ];
  return { result: { ...judged, net }, source: verdictSource, origin: 'default', lines };
}

function plainLimits(flags: Flags): Limits {
  const limits = {
    least: flags.has('least') ? flags.number('least') : undefined,
    most: flags.has('most') ? flags.number('most') : undefined,
  };
  if (limits.least !== undefined && limits.most !== undefined && limits.least > limits.most) {
    throw new Unusable('--least is more than --most.');
  }
  return limits;
}

function unitVerdict(flags: Flags): Answer {
  const shown = asQuantity(flags.text('shown'));
  if (!shown.ok) throw new Unusable(`--shown: ${shown.problem.says}`);
  const { number, unit } = shown.quantity;
  // A bare limit or resolution beside a reading with a unit stands in that unit.
  const beside = (name: string) =>
    plainNumber(flags.text(name)) === null ? flags.text(name) : `${flags.text(name)} ${unit}`;
  const judged = judgeReading({
    value: number,
    unit,
    accept: {
      least: flags.has('least') ? beside('least') : undefined,
      most: flags.has('most') ? beside('most') : undefined,
    },
    instrument: { percent: flags.number('percent'), counts: flags.number('counts') },
    resolution: beside('resolution'),
    lead: flags.has('lead') ? beside('lead') : undefined,
  });
  if (judged.verdict === 'unusable') throw new Unusable(judged.says);
  const { low, high, probability, net, ask, says } = judged;
  const lines = ask === null ? [says] : [says, ask.says];
  return {
    result: { verdict: judged.verdict, low, high, probability, net, unit, says, ask },
    source: verdictSource,
    origin: 'default',
    lines,
  };
}

function atLeastZero(flags: Flags, name: string): number {
  const value = flags.number(name);
  if (value < 0) throw new Unusable(`--${name} is ${value}; it must not be below zero.`);
  return value;
}

const conformance: Calculation = {
  usage: '--mean X --u X [--least X] [--most X]',
  flags: ['mean', 'u', 'least', 'most'],
  compute(flags) {
    flags.need('mean', 'u');
    if (!flags.has('least') && !flags.has('most')) {
      throw new Unusable('Missing flags: --least or --most.');
    }
    const read = numbersInOneUnit(flags);
    const u = read('u', true);
    if (u < 0) throw new Unusable('--u must not be below zero.');
    const result = conformanceOf(read('mean'), u, {
      least: flags.has('least') ? read('least') : undefined,
      most: flags.has('most') ? read('most') : undefined,
    });
    return {
      result,
      source: 'JCGM 106:2012, 7.3–7.5, normal distribution',
      origin: 'formula',
      lines: [
        `Inside with probability ${showNumber(result.inside)}, outside ${showNumber(result.outside)}.`,
      ],
    };
  },
};

/** Reads flags as bare numbers, or all in the unit of `--mean`. */
function numbersInOneUnit(flags: Flags): (name: string, span?: boolean) => number {
  if (plainNumber(flags.text('mean')) !== null) return (name) => flags.number(name);
  const mean = asQuantity(flags.text('mean'));
  if (!mean.ok) throw new Unusable(`--mean: ${mean.problem.says}`);
  const { dimension, unit } = mean.quantity;
  return (name, span = false) => {
    const value: Quantity = flags.quantity(name, dimension, unit);
    if (span) return siSpan(value.value, value.unit) / siSpan(1, unit);
    return fromSi(value.si, unit, dimension) ?? value.value;
  };
}

const guard: Calculation = {
  usage: '--u U --factor N (U expanded, k = 2)',
  flags: ['u', 'factor'],
  compute(flags) {
    flags.need('u', 'factor');
    const result = guardBand(atLeastZero(flags, 'u'), atLeastZero(flags, 'factor'));
    return {
      result,
      source: 'ILAC-G8:09/2019, guard band w = r·U',
      origin: 'formula',
      lines: [
        `Stay ${showNumber(result.width)} inside the limit; at most ${showNumber(result.worstRisk * 100, 3)} % accepted wrongly.`,
      ],
    };
  },
};

const contacts: Calculation = {
  usage:
    '--terminals 2|3|4 --rest LETTERS --pressed LETTERS [--kind NO|NC] (C closed, O open, H high; three: COM–NC, COM–NO)',
  flags: ['terminals', 'rest', 'pressed', 'kind'],
  compute(flags) {
    flags.need('terminals', 'rest', 'pressed');
    const judged = judgeContacts({
      terminals: flags.number('terminals'),
      rest: flags.text('rest'),
      pressed: flags.text('pressed'),
      kind: flags.has('kind') ? flags.oneOf<ContactKind>('kind', ['NO', 'NC']) : undefined,
    });
    if (judged.code === 'unusable') throw new Unusable(judged.says);
    const { code, name, says, next, healthy, pattern } = judged;
    return {
      result: { name, code, says, next, healthy, pattern },
      source: 'how the contacts move; the acts are common practice, no published source',
      origin: 'default',
      lines: [`${name}: ${says}`, next],
    };
  },
};

const terminals: Calculation = {
  usage:
    '--terminals 3|4 [--beeps 12r+,13r-,23p+] (terminals by number, r rest, p pressed, + beep, - none)',
  flags: ['terminals', 'beeps'],
  compute(flags) {
    const count = Number(flags.oneOf('terminals', ['3', '4'])) as Exclude<Terminals, 2>;
    const found = findTerminals(
      count,
      readBeeps(flags.has('beeps') ? flags.text('beeps') : '', count),
    );
    const { next, named, contradictory, says } = found;
    return {
      result: {
        left: found.forms.length,
        next:
          next === null
            ? null
            : { terminals: next.pair.map((each) => each + 1), state: next.state },
        named: named === null ? null : { kind: named.kind, roles: named.roles },
        contradictory,
        says,
      },
      source: 'every healthy form enumerated: 6 of three terminals, 36 of four',
      origin: 'formula',
      lines: [says],
    };
  },
};

function readBeeps(text: string, terminals: number): Beep[] {
  if (text.trim() === '') return [];
  return text.split(',').map((part) => {
    const [, a, b, state, sign] = /^\s*([1-4])-?([1-4])([rp])([+-])\s*$/u.exec(part) ?? [];
    const [one, other] = [Number(a), Number(b)];
    if (sign === undefined || one === other || Math.max(one, other) > terminals) {
      throw new Unusable(
        `--beeps holds “${part}”; write two terminals, r or p, and + or -, such as 12r+.`,
      );
    }
    return {
      probe: {
        pair: [Math.min(one, other) - 1, Math.max(one, other) - 1],
        state: state === 'r' ? 'rest' : 'pressed',
      },
      closed: sign === '+',
    };
  });
}

const supply: Calculation = {
  usage: '--l1l2 V --l1n V --l2n V [--l1g V] [--l2g V] [--ng V]',
  flags: ['l1l2', 'l1n', 'l2n', 'l1g', 'l2g', 'ng'],
  compute(flags) {
    flags.need('l1l2', 'l1n', 'l2n');
    const judged = judgeSupply({
      l1l2: flags.si('l1l2', 'voltage', 'V'),
      l1n: flags.si('l1n', 'voltage', 'V'),
      l2n: flags.si('l2n', 'voltage', 'V'),
      l1g: flags.optionalSi('l1g', 'voltage', 'V'),
      l2g: flags.optionalSi('l2g', 'voltage', 'V'),
      ng: flags.optionalSi('ng', 'voltage', 'V'),
    });
    if (!('name' in judged)) throw new Unusable(judged.says);
    return {
      result: { ...judged },
      source:
        'split-phase 120/240 V: how the circuit divides; ±10 % is our default, ANSI C84.1 Range A ±5 %',
      origin: 'default',
      lines: [`${judged.name}: ${judged.says}`],
    };
  },
};

const meter: Calculation = {
  usage:
    '--expected V --shown V | --category CAT --volts V --due DATE --source-category CAT --source-volts V --on DATE',
  flags: ['expected', 'shown', 'category', 'volts', 'due', 'source-category', 'source-volts', 'on'],
  compute(flags) {
    if (flags.has('expected') || flags.has('shown')) {
      flags.need('expected', 'shown');
      return knownSource(flags.si('expected', 'voltage', 'V'), flags.si('shown', 'voltage', 'V'));
    }
    flags.need('category', 'volts', 'due', 'source-category', 'source-volts', 'on');
    const card = {
      id: 'given',
      category: flags.text('category'),
      volts: flags.si('volts', 'voltage', 'V'),
      due: flags.text('due'),
    };
    const volts = flags.si('source-volts', 'voltage', 'V');
    const problems = fitFor(card, flags.text('source-category'), volts, flags.text('on'));
    const says =
      problems.length === 0
        ? 'Nothing stands against this meter here.'
        : problems.map((each) => each.says).join(' ');
    return {
      result: { ok: problems.length === 0, problems, says },
      source: 'IEC 61010-1, measurement categories; category before volts',
      origin: 'code',
      lines: [says],
    };
  },
};

function knownSource(expected: number, shown: number): Answer {
  const check = checkOnKnownSource(expected, shown);
  const says = check.ok
    ? `Within 10 % of the known source (off by ${showNumber(check.value.off * 100, 3)} %).`
    : check.problem.says;
  if (!check.ok && check.problem.code === 'no-known-source') throw new Unusable(says);
  return {
    result: { ok: check.ok, off: (shown - expected) / expected, says },
    source:
      'before and after on a known source (NFPA 70E 120.6, 29 CFR 1910.333(b)(2)(iv)(B)); 10 % is our default',
    origin: 'default',
    lines: [says],
  };
}

export const judging = {
  verdict,
  conformance,
  'guard-band': guard,
  contacts,
  terminals,
  supply,
  meter,
};
