/** What breaks without each gate of a checklist, for `prove --without NAME` and `prove --gates`. */
import { planOf, type Plan } from '../lib/core/job/plan.ts';
import type { Command } from '../lib/core/job/commands.ts';
import type { Checklist } from '../lib/core/checklist/model.ts';
import { boundsOf } from '../lib/core/prove/bounds.ts';
import { guardsOf, type NamedGuard } from '../lib/core/prove/guards.ts';
import { hunt, type Found } from '../lib/core/prove/hunt.ts';
import { planWithout } from '../lib/core/prove/removal.ts';
import { commandsOf } from '../lib/core/prove/trace.ts';
import type { PropertyId } from '../lib/core/safety/index.ts';
import { Unusable, type Io } from './verb.ts';

export interface Told {
  readonly says: string;
  /** For `replay` with the same gate out. */
  readonly trace: readonly Command[];
}

export interface ProvedGate extends NamedGuard {
  /** The property that breaks when the gate is out, and a way there. */
  readonly breaks: (Told & { readonly property: PropertyId }) | null;
  /** An act that passes then and is refused with the gate in place. */
  readonly letsThrough: Told | null;
  /** `true`: everything was walked and nothing of either was found; `null`: not everything was walked. */
  readonly idle: boolean | null;
  readonly states: number;
  readonly complete: boolean;
}

export interface Hunting {
  readonly people: number;
  readonly connectors: number;
  readonly states: number;
  readonly seconds: number;
}

/** A plan without the gate. @throws Unusable with the names that there are */
export function planLacking(plan: Plan, name: string): Plan {
  const reduced = planWithout(plan, name);
  if (reduced !== undefined) return reduced;
  const names = guardsOf(plan).filter(({ kind }) => kind !== 'lapse');
  throw new Unusable(
    `${plan.checklist.id} has no gate “${name}” to take out; there are: ${names.map(({ gate }) => gate).join(', ')}.`,
  );
}

function toldOf(found: Found): Told {
  return { says: found.says, trace: commandsOf(found.path) };
}

function huntOne(plan: Plan, guard: NamedGuard, asked: Hunting, io: Io): ProvedGate {
  const until = performance.now() + asked.seconds * 1000;
  const bounds = boundsOf(plan.checklist, asked.people, asked.connectors);
  const progress = (found: number) => {
    io.progress(`${plan.checklist.id} without ${guard.gate}: ${found} states found`);
    return performance.now() < until;
  };
  const limits = { states: asked.states, progress };
  const hunted = hunt(plan, planLacking(plan, guard.gate), bounds, limits);
  const { breaks, letsThrough, states, complete } = hunted;
  const needed = breaks !== undefined || letsThrough !== undefined;
  return {
    ...guard,
    breaks: breaks === undefined ? null : { property: breaks.property, ...toldOf(breaks) },
    letsThrough: letsThrough === undefined ? null : toldOf(letsThrough),
    idle: needed ? false : complete ? true : null,
    states,
    complete,
  };
}

/** @param only one gate's name; absent: all of them */
export function proveGates(
  checklist: Checklist,
  asked: Hunting,
  io: Io,
  only: string | undefined,
): readonly ProvedGate[] {
  const plan = planOf(checklist);
  if (only !== undefined) planLacking(plan, only);
  return guardsOf(plan)
    .filter(({ gate, kind }) => kind !== 'lapse' && (only === undefined || gate === only))
    .map((guard) => huntOne(plan, guard, asked, io));
}

function verdictOf({ breaks, letsThrough, idle, states }: ProvedGate): string {
  if (breaks !== null) return `without it ${breaks.property} breaks: ${breaks.says}`;
  if (letsThrough !== null)
    return `without it an act passes that it alone refuses: ${letsThrough.says}`;
  return idle === true
    ? `idle here: nothing breaks in any of ${states} states`
    : `nothing broke in ${states} states, and there are more`;
}

/** @param traces whether the ways there are written out too */
export function tellGates(io: Io, gates: readonly ProvedGate[], traces: boolean): void {
  for (const gate of gates) {
    io.print(`  ${gate.gate} (serves ${gate.serves.join(', ')}): ${verdictOf(gate)}`);
    io.print(`    would have stopped: ${gate.stops}${gate.report ? ` [${gate.report}]` : ''}`);
    if (!traces) continue;
    for (const command of (gate.breaks ?? gate.letsThrough)?.trace ?? []) {
      io.print(`    ${JSON.stringify(command)}`);
    }
  }
}
