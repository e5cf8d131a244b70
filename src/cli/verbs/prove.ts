import { basename } from 'node:path';
import { explore, type Explored } from '../../lib/core/prove/explore.ts';
import { boundsOf, USUAL_CONNECTORS, USUAL_PEOPLE } from '../../lib/core/prove/bounds.ts';
import { ownGatesOf, standingGatesOf } from '../../lib/core/prove/binding.ts';
import { walk } from '../../lib/core/prove/symbolic/index.ts';
import { commandsOf } from '../../lib/core/prove/trace.ts';
import { guardsOf, type NamedGuard } from '../../lib/core/prove/guards.ts';
import { planOf } from '../../lib/core/job/plan.ts';
import type { Bounds } from '../../lib/core/job/enabled-commands.ts';
import type { Checklist } from '../../lib/core/checklist/model.ts';
import type { Command } from '../../lib/core/job/commands.ts';
import { PROPERTY_IDS, type PropertyId } from '../../lib/core/safety/index.ts';
import { readArguments } from '../arguments.ts';
import { filesOf, loadFile } from '../checklist-file.ts';
import { proveGates, tellGates } from '../prove-gates.ts';
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
  /** States of the engine, people told apart, and what may be done in them. */
  readonly states: number;
  readonly transitions: number;
  /** Every state is known, and every property shown or broken. */
  readonly complete: boolean;
  readonly people: number;
  readonly connectors: number;
  /**
   * How the properties were looked at. `induction`: wherever a move may be made, no scene of the monitors that
   * may stand beside the state is broken by it, and the scene after it may stand beside the state after it.
   * `search`: state by state with the monitors beside it.
   */
  readonly propertiesBy: 'induction' | 'search';
  readonly properties: Readonly<Record<PropertyId, Proved>>;
  /** What the induction could not show, in words; `null` while not every state is known. */
  readonly unshown: readonly string[] | null;
  /** Ways to states from which the job can never be handed back; `null` while not every state is known. */
  readonly deadEnds: readonly (readonly Command[])[] | null;
  /** The checklist's own gates that are never all that keeps a step closed; `null` while not every state is known. */
  readonly idleGates: readonly string[] | null;
  /** Standing interlocks of which the same is true here: another gate always says it too. */
  readonly standingBy: readonly string[] | null;
  /** Every gate with the properties that it serves and the accident that it would have stopped. */
  readonly guards: readonly NamedGuard[];
  readonly byPhase: readonly number[];
  readonly seconds: number;
}

interface Asked {
  readonly people: number;
  readonly connectors: number;
  readonly most: number;
  readonly seconds: number;
}

const MOST_STATES = Number.MAX_SAFE_INTEGER;
/** For the search state by state, which keeps each of them. */
const MOST_EXPLORED = 16_000_000;
const USUAL_SECONDS = 300;
/** For one gate taken out. */
const USUAL_SECONDS_OF_A_GATE = 10;

function wholeFrom(text: string | undefined, usual: number, flag: string, most: number): number {
  if (text === undefined) return usual;
  const value = Number(text);
  if (Number.isInteger(value) && value >= 1 && value <= most) return value;
  throw new Unusable(`--${flag} takes a whole number from 1 to ${most}, not "${text}".`);
}

/** Each property: shown in every state, broken on a trace, or neither. */
function provedOf(shown: boolean, explored: Explored | undefined): Record<PropertyId, Proved> {
  const each = PROPERTY_IDS.map((id): [PropertyId, Proved] => {
    const broken = explored?.broken.get(id);
    if (!broken) return [id, { holds: shown || explored?.complete === true ? true : null }];
    return [id, { holds: false, says: broken.says, trace: commandsOf(broken.path) }];
  });
  return Object.fromEntries(each) as Record<PropertyId, Proved>;
}

/** Counting the states is no small work: only so often, in walks between two counts. */
const COUNT_EVERY = 64;

/** Shows how far the walk is, and stops it when its time is over or there are more states than asked for. */
function watch(io: Io, file: string, { most, seconds }: Asked) {
  const until = performance.now() + seconds * 1000;
  let turns = 0;
  return (count: () => number): boolean => {
    if (turns++ % COUNT_EVERY === 0 || most < MOST_STATES) {
      const states = count();
      io.progress(`${file}: ${states} states found`);
      if (states > most) return false;
    }
    return performance.now() < until;
  };
}

/** Looks for a trace that breaks a property, state by state, where the induction does not show that none does. */
function searched(
  file: string,
  checklist: Checklist,
  bounds: Bounds,
  asked: Asked,
  io: Io,
): Explored {
  const until = performance.now() + asked.seconds * 1000;
  return explore(checklist, bounds, {
    states: Math.min(asked.most, MOST_EXPLORED),
    progress: (found, done) => {
      io.progress(
        `${file}, the properties: ${found} states found, ${found - done} still to follow`,
      );
      return performance.now() < until;
    },
  });
}

function prove(file: string, asked: Asked, io: Io): ProvedFile {
  const { checklist } = loadFile(file);
  const { people, connectors } = asked;
  const began = performance.now();
  const bounds = boundsOf(checklist, people, connectors);
  const walked = walk(checklist, bounds, watch(io, file, asked));
  const shown = walked.unshown?.length === 0;
  const explored = shown ? undefined : searched(file, checklist, bounds, asked, io);
  const properties = provedOf(shown, explored);
  const complete = walked.complete && (shown || explored?.complete === true);
  const deadEnds = walked.deadEnds?.map(commandsOf) ?? null;
  const never = (gates: readonly string[]) => gates.filter((gate) => !walked.binding.has(gate));
  const plan = planOf(checklist);
  const idle = never(ownGatesOf(plan));
  const sound = PROPERTY_IDS.every((id) => properties[id].holds === true);
  return {
    file,
    ok: complete && sound && deadEnds?.length === 0 && idle.length === 0,
    states: walked.states,
    transitions: walked.transitions,
    complete,
    people,
    connectors,
    propertiesBy: shown ? 'induction' : 'search',
    properties,
    unshown: walked.unshown ?? null,
    deadEnds,
    idleGates: walked.complete ? idle : null,
    standingBy: walked.complete ? never(standingGatesOf(plan)) : null,
    guards: guardsOf(plan),
    byPhase: walked.byPhase,
    seconds: Math.round(performance.now() - began) / 1000,
  };
}

function tellTrace(io: Io, trace: readonly Command[]): void {
  for (const command of trace) io.print(`    ${JSON.stringify(command)}`);
}

function tell(io: Io, proved: ProvedFile): void {
  const { file, states, transitions, people, connectors, complete, unshown } = proved;
  const whole = unshown === null ? 'not all: there are more' : 'every one that can be reached';
  io.print(
    `${file}: ${states} states and ${transitions} moves, ${whole} ` +
      `(${people} people, ${connectors} connectors, ${proved.seconds} s).`,
  );
  if (complete && proved.propertiesBy === 'induction') {
    io.print('  The properties: by induction over all of them.');
  }
  for (const each of (unshown ?? []).slice(0, 5)) io.print(`  Not shown by induction: ${each}`);
  const held = PROPERTY_IDS.filter((id) => proved.properties[id].holds !== false);
  if (held.length > 0) io.print(`  Held in all that was explored: ${held.join(' ')}`);
  for (const id of PROPERTY_IDS) {
    const { holds: held, says, trace } = proved.properties[id];
    if (held !== false) continue;
    io.print(`  ${id} is broken: ${says}. The shortest way there, for replay:`);
    tellTrace(io, trace ?? []);
  }
  for (const way of proved.deadEnds ?? []) {
    io.print('  A dead end, from which the job can never be handed back:');
    tellTrace(io, way);
  }
  if (proved.deadEnds?.length === 0)
    io.print('  From every state the job can still be handed back.');
  if (proved.deadEnds === null && proved.unshown !== null)
    io.print(
      '  From some states the job can never be handed back; the way there was not found in time.',
    );
  for (const gate of proved.idleGates ?? []) {
    io.print(`  Idle gate, never all that keeps a step closed: ${gate}`);
  }
  if ((proved.standingBy ?? []).length > 0) {
    io.print(`  Standing by, another gate always says it too: ${proved.standingBy?.join(', ')}`);
  }
}

/**
 * Gates taken out: one, which holds when nothing breaks without it, or each in turn, which holds when
 * none of a checklist's own is idle.
 */
function withoutGates(
  names: readonly string[],
  asked: Asked,
  io: Io,
  json: boolean,
  only: string | undefined,
): 0 | 1 {
  const hunting = { ...asked, states: asked.most };
  const files = checklistsAmong(names).map((file) => {
    const gates = proveGates(loadFile(file).checklist, hunting, io, only);
    const ok = gates.every(({ kind, idle }) =>
      only === undefined ? kind === 'standing' || idle !== true : idle === true,
    );
    if (!json) io.print(`${file}:`);
    if (!json) tellGates(io, gates, only !== undefined);
    return { file, ok, gates };
  });
  const ok = files.every((each) => each.ok);
  if (json) io.printJson({ ok, files });
  return ok ? holds : doesNotHold;
}

/** Explores checklists under the engine. */
export default {
  summary: 'explores every state that a job can reach under a checklist, the properties beside it',
  usage:
    'prove FILE… [--without GATE | --gates] [--people N] [--connectors N] [--states N] [--seconds N] [--json]',
  example: 'stillwire prove checklists/range-door-lock.yaml',
  details: [
    `--people N      how many people may come and go (${USUAL_PEOPLE})`,
    `--connectors N  how many connectors come off at most (${USUAL_CONNECTORS})`,
    `--states N      stop after so many states and say that it is not complete (no limit)`,
    `--seconds N     the same after so many seconds; a search for a trace has as many again (${USUAL_SECONDS})`,
    '--without GATE  takes one gate out and shows what breaks then; replay --without GATE runs what it finds',
    `--gates         the same for every gate in turn (${USUAL_SECONDS_OF_A_GATE} s each unless --seconds says more)`,
    'In --json a property holds: true, false (with a trace that replay runs), or null when it was not',
    'broken in what was explored and not everything was.',
  ],
  run(args, io) {
    const { positionals, values, json } = readArguments(args, {
      people: { type: 'string' },
      connectors: { type: 'string' },
      states: { type: 'string' },
      seconds: { type: 'string' },
      without: { type: 'string' },
      gates: { type: 'boolean' },
    });
    if (positionals.length === 0) throw new Unusable('Give at least one checklist: prove FILE….');
    const people = wholeFrom(values.people, USUAL_PEOPLE, 'people', 7);
    const connectors = wholeFrom(values.connectors, USUAL_CONNECTORS, 'connectors', 8);
    const most = wholeFrom(values.states, MOST_STATES, 'states', MOST_STATES);
    const oneByOne = values.without !== undefined || values.gates === true;
    if (values.without !== undefined && values.gates === true)
      throw new Unusable(
        '--without takes out one gate, --gates each in turn: give one of the two.',
      );
    const usual = oneByOne ? USUAL_SECONDS_OF_A_GATE : USUAL_SECONDS;
    const seconds = wholeFrom(values.seconds, usual, 'seconds', 86_400);
    const asked = { people, connectors, most, seconds };
    if (oneByOne)
      return Promise.resolve(withoutGates(positionals, asked, io, json, values.without));
    const files = checklistsAmong(positionals).map((file) => {
      const proved = prove(file, asked, io);
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
