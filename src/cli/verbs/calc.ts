import { readArguments } from '../arguments.ts';
import { afterRepair } from '../calc/after-repair.ts';
import { Flags, type Answer, type Calculation } from '../calc/calculation.ts';
import { judging } from '../calc/judging.ts';
import { parts } from '../calc/parts.ts';
import { people } from '../calc/people.ts';
import { storedEnergy } from '../calc/stored-energy.ts';
import { holds, Unusable, type Verb } from '../verb.ts';

const calculations: ReadonlyMap<string, Calculation> = new Map(
  Object.entries<Calculation>({ ...storedEnergy, ...parts, ...judging, ...afterRepair, ...people }),
);

/** The trade's arithmetic. `ok` says that it could be computed; what came of it is in `result`. */
export default {
  summary: "computes the trade's waits, limits and verdicts",
  usage: 'calc NAME --flag VALUE … [--json]',
  example: 'stillwire calc discharge --from 12kV --to 600V --tau 10ms',
  details: [
    'Values carry units (--from 12kV). V, W, m and mm2 may be left out where only they can stand.',
    '',
    ...[...calculations].map(([name, { usage }]) => `${name}  ${usage}`),
  ],
  async run(args, io) {
    const [name, ...rest] = args;
    const calculation = name === undefined ? undefined : calculations.get(name);
    if (name === undefined || calculation === undefined) {
      const said = name === undefined ? 'Say what to compute' : `There is no calculation “${name}”`;
      throw new Unusable(`${said}; there are: ${[...calculations.keys()].join(', ')}.`);
    }
    const options = Object.fromEntries(
      calculation.flags.map((flag) => [flag, { type: 'string' as const }]),
    );
    const { values, positionals, json } = readArguments(rest, options);
    if (positionals.length > 0) {
      throw new Unusable(
        `“${positionals[0]}” stands alone; each value follows its flag: ${calculation.usage}.`,
      );
    }
    const inputs = flagsOf(values);
    const { result, source, origin, lines } = calculation.compute(new Flags(inputs));
    if (json) io.printJson({ ok: true, inputs, result, source, origin });
    else for (const line of lines ?? figures(result)) io.print(line);
    if (!json) io.print(`Source: ${source} (${origin}).`);
    return holds;
  },
} satisfies Verb;

function flagsOf(values: Readonly<Record<string, unknown>>): Record<string, string> {
  const flags: Record<string, string> = {};
  for (const [name, value] of Object.entries(values)) {
    if (typeof value === 'string') flags[name] = value;
  }
  return flags;
}

function figures(result: Answer['result']): string[] {
  return Object.entries(result).map(([name, value]) => `${name}: ${String(value)}`);
}
