import { basename } from 'node:path';
import { explore, type Explored } from '../../lib/core/prove/explore.ts';
import { boundsOf, USUAL_CONNECTORS, USUAL_PEOPLE } from '../../lib/core/prove/bounds.ts';
import { commandsOf } from '../../lib/core/prove/trace.ts';
import type { Command } from '../../lib/core/job/commands.ts';
import { PROPERTY_IDS, type PropertyId } from '../../lib/core/safety/index.ts';
import { readArguments } from '../arguments.ts';
import { filesOf, loadFile } from '../checklist-file.ts';
import { doesNotHold, holds, Unusable, type Io, type Verb } from '../verb.ts';

/** What was found out about a property. */
interface Proved {
  /** `null`: not broken in what was explored, and not everything was. */
  readonly holds: boolean | null;
  readonly says?: string;
  /** The shortest way to break it, as commands for `replay`. */
  readonly trace?: readonly Command[];
}

export interface ProvedFile {
  readonly file: string;
  readonly ok: boolean;
  readonly states: number;
  readonly transitions: number;
  readonly complete: boolean;
  readonly people: number;
  readonly connectors: number;
  readonly properties: Readonly<Record<PropertyId, Proved>>;
  /** Ways to states from which no end of the job can be reached. */
  readonly deadEnds: readonly (readonly Command[])[];
  readonly idleGates: readonly string[];
  readonly byPhase: readonly number[];
  readonly seconds: number;
}

const MOST_STATES = 20_000_000;

function wholeFrom(text: string | undefined, usual: number, flag: string, most: number): number {
  if (text === undefined) return usual;
  const value = Number(text);
  if (Number.isInteger(value) && value >= 1 && value <= most) return value;
  throw new Unusable(`--${flag} takes a whole number from 1 to ${most}, not "${text}".`);
}

function provedOf(explored: Explored): Record<PropertyId, Proved> {
  const each = PROPERTY_IDS.map((id): [PropertyId, Proved] => {
    const broken = explored.broken.get(id);
    if (!broken) return [id, { holds: explored.complete ? true : null }];
    return [id, { holds: false, says: broken.says, trace: commandsOf(broken.path) }];
  });
  return Object.fromEntries(each) as Record<PropertyId, Proved>;
}

function prove(file: string, people: number, connectors: number, most: number, io: Io): ProvedFile {
  const { checklist } = loadFile(file);
  const began = performance.now();
  const explored = explore(checklist, boundsOf(checklist, people, connectors), {
    states: most,
    progress: (found, done) =>
      io.progress(`${file}: ${found} states found, ${found - done} still to follow`),
  });
  const properties = provedOf(explored);
  const deadEnds = explored.deadEnds.map(commandsOf);
  const sound = PROPERTY_IDS.every((id) => properties[id].holds === true);
  return {
    file,
    ok: explored.complete && sound && deadEnds.length === 0,
    states: explored.states,
    transitions: explored.transitions,
    complete: explored.complete,
    people,
    connectors,
    properties,
    deadEnds,
    idleGates: [],
    byPhase: explored.byPhase,
    seconds: Math.round(performance.now() - began) / 1000,
  };
}

function tellTrace(io: Io, trace: readonly Command[]): void {
  for (const command of trace) io.print(`    ${JSON.stringify(command)}`);
}

function tell(io: Io, proved: ProvedFile): void {
  const { file, states, transitions, people, connectors } = proved;
  const whole = proved.complete ? 'every state that can be reached' : 'only a part: there are more';
  io.print(
    `${file}: ${states} states, ${transitions} ways between them, ${whole} ` +
      `(${people} people, ${connectors} connectors, ${proved.seconds} s).`,
  );
  const held = PROPERTY_IDS.filter((id) => proved.properties[id].holds !== false);
  if (held.length > 0) io.print(`  Held in all that was explored: ${held.join(' ')}`);
  for (const id of PROPERTY_IDS) {
    const { holds: held, says, trace } = proved.properties[id];
    if (held !== false) continue;
    io.print(`  ${id} is broken: ${says}. The shortest way there, for replay:`);
    tellTrace(io, trace ?? []);
  }
  for (const way of proved.deadEnds) {
    io.print('  A dead end: no way to hand back, park or refuse from here:');
    tellTrace(io, way);
  }
}

/** Explores checklists under the engine. */
export default {
  summary: 'explores every state that a job can reach under a checklist, the properties beside it',
  usage: 'prove FILE… [--people N] [--connectors N] [--states N] [--json]',
  example: 'stillwire prove checklists/range-door-lock.yaml',
  details: [
    `--people N      how many people may come and go (${USUAL_PEOPLE})`,
    `--connectors N  how many connectors come off at most (${USUAL_CONNECTORS})`,
    `--states N      stop after so many states and say that it is not complete (${MOST_STATES})`,
    'In --json a property holds: true, false (with a trace that replay runs), or null when it was not',
    'broken in what was explored and not everything was.',
  ],
  run(args, io) {
    const { positionals, values, json } = readArguments(args, {
      people: { type: 'string' },
      connectors: { type: 'string' },
      states: { type: 'string' },
    });
    if (positionals.length === 0) throw new Unusable('Give at least one checklist: prove FILE….');
    const people = wholeFrom(values.people, USUAL_PEOPLE, 'people', 7);
    const connectors = wholeFrom(values.connectors, USUAL_CONNECTORS, 'connectors', 8);
    const most = wholeFrom(values.states, MOST_STATES, 'states', MOST_STATES);
    const files = checklistsAmong(positionals).map((file) => {
      const proved = prove(file, people, connectors, most, io);
      if (!json) tell(io, proved);
      return proved;
    });
    const ok = files.every((file) => file.ok);
    if (json) io.printJson({ ok, files });
    return Promise.resolve(ok ? holds : doesNotHold);
  },
} satisfies Verb;

/** Without translations: `x.es.yaml` changes words alone, its states are those of the checklist beside it. */
function checklistsAmong(names: readonly string[]): string[] {
  const files = filesOf(names);
  const own = files.filter((file) => !/^[^.]+\.[^.]+\.ya?ml$/u.test(basename(file)));
  if (own.length === 0)
    throw new Unusable(`${files[0]} is a translation; give the checklist that it translates.`);
  return own;
}
