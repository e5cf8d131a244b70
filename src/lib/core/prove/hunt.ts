/**
 * What breaks without a gate: a search over the real engine whose plan lacks it, the properties of the
 * whole checklist beside it, until one is broken.
 *
 * Ways with few detours come first: on with the job as the checklist has it, and only then coming, going,
 * lapses and taps out of turn. So what it finds reads as a job with one thing wrong in it, and lies near
 * even where all that can be reached is more than can be walked. Given the time it walks all of it.
 */
import type { Checklist } from '../checklist/model.ts';
import type { NewPerson } from '../job/commands.ts';
import { decide } from '../job/decide.ts';
import type { Bounds } from '../job/enabled-commands.ts';
import type { Plan } from '../job/plan.ts';
import { initialState, isEnded, type JobState } from '../job/state.ts';
import {
  safetyKey,
  startSafety,
  stepSafety,
  type PropertyId,
  type SafetyState,
} from '../safety/index.ts';
import { after, movesFrom, ZERO, type Move } from './moves.ts';
import { settleScene } from './settle-scene.ts';
import { stateKey } from './state-key.ts';

export interface HuntLimits {
  /** The most states to keep. */
  readonly states: number;
  /** Called now and then with the states found; `false` stops. */
  readonly progress?: (found: number) => boolean;
  /** Stop at the first act that passes, whether or not a property is broken by it. */
  readonly firstAct?: boolean;
}

export interface Found {
  /** What is broken, or what the gate would have said. */
  readonly says: string;
  readonly path: readonly Move[];
}

export interface Hunted {
  /** The first broken property. */
  readonly breaks?: Found & { readonly property: PropertyId };
  /** The first act that passes and that the whole engine refuses. */
  readonly letsThrough?: Found;
  readonly states: number;
  /** Everything that can be reached was walked; what was not found is not there. */
  readonly complete: boolean;
}

interface Node {
  readonly state: JobState;
  readonly scene: SafetyState;
  readonly detours: number;
  readonly parent: Node | undefined;
  readonly move: Move | undefined;
}

/** Somebody who may not do this work, for the gate that asks what a person may do. */
const NOVICE: NewPerson = { id: 'noa', competence: [] };

/** More sources on the machine than the checklist knows: what no sample of a good job shows. */
function miscounts(state: JobState): Move[] {
  const by = state.people.find((person) => person.present)?.id;
  if (state.status !== 'atWork' || by === undefined) return [];
  return state.plan.steps.flatMap(({ id, step }): Move[] => {
    if (step.do !== 'confirm' || step.counts !== 'sources') return [];
    const result = { sources: state.plan.sources.length + 1 };
    const command = { ...ZERO, by, command: 'do', step: id, result } as const;
    const { accepted, events } = decide(state, command);
    return accepted ? [{ command, events }] : [];
  });
}

/** Whether a move goes on with the job in the order of the checklist. */
function goesOn(state: JobState, { command }: Move): boolean {
  if (command.command === 'open' || command.command === 'window') return true;
  if (command.command === 'endWindow') return true;
  if (command.command !== 'do') return false;
  return (state.plan.stepIndex.get(command.step) ?? -1) >= state.frontier;
}

function keyOf({ state, scene }: Pick<Node, 'state' | 'scene'>): string {
  return isEnded(state) ? state.status : `${stateKey(state)}\u0000${safetyKey(scene)}`;
}

function pathTo(node: Node | undefined): Move[] {
  const path: Move[] = [];
  for (let at = node; at?.move !== undefined; at = at.parent) path.unshift(at.move);
  return path;
}

/** The whole trace once more: settled scenes give the monitors less than they have seen. */
function isBroken(checklist: Checklist, path: readonly Move[], property: PropertyId): boolean {
  let scene = startSafety(checklist, 'told');
  for (const event of path.flatMap(({ events }) => events)) {
    const stepped = stepSafety(scene, event);
    if (stepped.violations.some((each) => each.property === property)) return true;
    scene = stepped.state;
  }
  return false;
}

class Hunt {
  private readonly whole: Plan;
  private readonly bounds: Bounds;
  private readonly limits: HuntLimits;
  private readonly seen = new Set<string>();
  /** By detours. */
  private readonly waiting: Node[][] = [];
  private letsThrough: Found | undefined;

  constructor(whole: Plan, bounds: Bounds, limits: HuntLimits) {
    this.whole = whole;
    this.bounds = bounds;
    this.limits = limits;
  }

  private add(node: Node): void {
    const key = keyOf(node);
    if (this.seen.has(key)) return;
    this.seen.add(key);
    (this.waiting[node.detours] ??= []).push(node);
  }

  /** The whole engine asked for the same act; looked at until one passes that it refuses. */
  private compare(node: Node, move: Move): void {
    if (this.letsThrough !== undefined || node.state.status === 'notOpened') return;
    const { accepted, refusals } = decide({ ...node.state, plan: this.whole }, move.command);
    const tried = move.events.at(-1)?.type === 'try.refused';
    if (accepted || tried) return;
    const says = refusals.map((refusal) => refusal.says).join(' ');
    this.letsThrough = { says, path: [...pathTo(node), move] };
  }

  private take(node: Node, move: Move): Hunted['breaks'] {
    this.compare(node, move);
    let scene = node.scene;
    for (const event of move.events) {
      const stepped = stepSafety(scene, event);
      scene = stepped.state;
      const [first] = stepped.violations;
      if (first === undefined) continue;
      const path = [...pathTo(node), move];
      if (isBroken(this.whole.checklist, path, first.property))
        return { property: first.property, says: first.says, path };
    }
    const state = after(node.state, move.events);
    const detours = node.detours + (goesOn(node.state, move) ? 0 : 1);
    this.add({ state, scene: settleScene(scene, state), detours, parent: node, move });
    return undefined;
  }

  run(checklist: Checklist, plan: Plan): Hunted {
    const state = initialState(plan, 'explored');
    const scene = startSafety(checklist, 'told');
    this.add({ state, scene, detours: 0, parent: undefined, move: undefined });
    for (let detours = 0, done = 0; detours < this.waiting.length; detours++) {
      const nodes = this.waiting[detours] ?? [];
      for (let at = 0; at < nodes.length; at++) {
        const node = nodes[at] as Node;
        for (const move of [...movesFrom(node.state, this.bounds), ...miscounts(node.state)]) {
          const breaks = this.take(node, move);
          if (breaks !== undefined) return this.report(false, breaks);
          if (this.limits.firstAct && this.letsThrough !== undefined) return this.report(false);
        }
        if (this.seen.size > this.limits.states) return this.report(false);
        if (done++ % 64 === 0 && this.limits.progress?.(this.seen.size) === false) {
          return this.report(false);
        }
      }
    }
    return this.report(true);
  }

  private report(complete: boolean, breaks?: Hunted['breaks']): Hunted {
    const { letsThrough } = this;
    return {
      states: this.seen.size,
      complete,
      ...(breaks === undefined ? {} : { breaks }),
      ...(letsThrough === undefined ? {} : { letsThrough }),
    };
  }
}

/**
 * Looks for what breaks.
 * @param whole the plan of the checklist
 * @param reduced the same plan without a gate
 */
export function hunt(whole: Plan, reduced: Plan, bounds: Bounds, limits: HuntLimits): Hunted {
  const lacksCompetence = reduced.without.has('competence');
  const people = lacksCompetence ? [...bounds.people, NOVICE] : bounds.people;
  return new Hunt(whole, { ...bounds, people }, limits).run(whole.checklist, reduced);
}
