/**
 * The explorer: every state that a job can reach under a checklist, the monitors beside it on every path.
 *
 * Breadth first, over the real engine, keyed by exact texts of the state and of the monitors' scene, so
 * that no state is skipped for looking like another and the first counterexample is a shortest one. It
 * says what was explored and what held there; it does not say that a job is harmless.
 */
import type { Checklist } from '../checklist/model.ts';
import type { Bounds } from '../job/enabled-commands.ts';
import { planOf, type Plan } from '../job/plan.ts';
import { initialState, isEnded, type JobState } from '../job/state.ts';
import {
  PROPERTY_IDS,
  safetyKey,
  startSafety,
  stepSafety,
  type PropertyId,
  type SafetyState,
} from '../safety/index.ts';
import { after, movesFrom, type Move } from './moves.ts';
import { settleScene } from './settle-scene.ts';
import { stateKey } from './state-key.ts';
import { Growing } from './growing.ts';

export interface Limits {
  /** The most states to keep; beyond it the exploration says that it is not complete. */
  readonly states: number;
  /** Stop at the first broken property. */
  readonly stopAtFirst?: boolean;
  /** Called now and then with the states found and those done. */
  readonly progress?: (found: number, done: number) => void;
}

export interface Broken {
  readonly says: string;
  /** The moves from the opening to the event that broke it. */
  readonly path: readonly Move[];
}

export interface Explored {
  readonly states: number;
  readonly transitions: number;
  readonly complete: boolean;
  readonly broken: ReadonlyMap<PropertyId, Broken>;
  /** Paths to states from which no end can be reached. */
  readonly deadEnds: readonly (readonly Move[])[];
  /** How many states each phase of the checklist holds, in order, and how many ways lead to an end. */
  readonly byPhase: readonly number[];
}

interface Node {
  readonly state: JobState;
  readonly scene: SafetyState;
}

const MOST_DEAD_ENDS = 3;

/** What a job may end in: the four ways of P10 and the hand-back. */
function isExit(status: JobState['status']): boolean {
  return status !== 'atWork' && status !== 'downTools' && status !== 'notOpened';
}

class Exploration {
  private readonly plan: Plan;
  private readonly bounds: Bounds;
  private readonly limits: Limits;
  private readonly seen = new Map<string, number>();
  private readonly queue: (Node | undefined)[] = [];
  private readonly parents = new Growing();
  private readonly ordinals = new Growing();
  private readonly from = new Growing();
  private readonly to = new Growing();
  private readonly exits = new Growing();
  private readonly broken = new Map<PropertyId, Broken>();
  private readonly byPhase: number[] = [];
  private transitions = 0;
  private full = false;

  constructor(checklist: Checklist, bounds: Bounds, limits: Limits, without: readonly string[]) {
    this.plan = planOf(checklist, without);
    this.bounds = bounds;
    this.limits = limits;
    const state = initialState(this.plan, 'explored');
    this.add({ state, scene: startSafety(checklist, 'told') }, -1, 0);
  }

  /** The number of a node, new or known; -1 when there is no room for it. */
  private add(node: Node, parent: number, ordinal: number): number {
    const key = isEnded(node.state)
      ? node.state.status
      : `${stateKey(node.state)}\u0000${safetyKey(node.scene)}`;
    const known = this.seen.get(key);
    if (known !== undefined) return known;
    if (this.seen.size >= this.limits.states) {
      this.full = true;
      return -1;
    }
    const id = this.seen.size;
    this.seen.set(key, id);
    this.queue.push(node);
    this.parents.push(parent);
    this.ordinals.push(ordinal);
    this.exits.push(isExit(node.state.status) ? 1 : 0);
    const phase = this.plan.steps[node.state.frontier]?.phase ?? 6;
    this.byPhase[phase] = (this.byPhase[phase] ?? 0) + 1;
    return id;
  }

  private take(id: number, node: Node, move: Move, ordinal: number): boolean {
    this.transitions++;
    let scene = node.scene;
    for (const event of move.events) {
      const stepped = stepSafety(scene, event);
      scene = stepped.state;
      for (const violation of stepped.violations) {
        if (this.broken.has(violation.property)) continue;
        this.broken.set(violation.property, {
          says: violation.says,
          path: [...this.pathTo(id), move],
        });
        if (this.limits.stopAtFirst) return false;
      }
    }
    const state = after(node.state, move.events);
    const next = this.add({ state, scene: settleScene(scene, state) }, id, ordinal);
    if (next < 0) return true;
    if (this.exits.at(next) === 1) this.exits.set(id, 1);
    else if (next !== id) {
      this.from.push(id);
      this.to.push(next);
    }
    return true;
  }

  /** Rebuilt from the opening: parents and ordinals name each move, the engine plays them again. */
  pathTo(id: number): Move[] {
    const ordinals: number[] = [];
    for (let at = id; this.parents.at(at) >= 0; at = this.parents.at(at)) {
      ordinals.push(this.ordinals.at(at));
    }
    let state = initialState(this.plan, 'explored');
    return ordinals.reverse().map((ordinal) => {
      const move = movesFrom(state, this.bounds)[ordinal] as Move;
      state = after(state, move.events);
      return move;
    });
  }

  run(): Explored {
    for (let id = 0; id < this.queue.length; id++) {
      const node = this.queue[id] as Node;
      this.queue[id] = undefined;
      const moves = movesFrom(node.state, this.bounds);
      for (const [ordinal, move] of moves.entries()) {
        if (!this.take(id, node, move, ordinal)) return this.report(false);
      }
      if (this.full) return this.report(false);
      if (id % 2000 === 0) this.limits.progress?.(this.seen.size, id);
    }
    return this.report(true);
  }

  private report(complete: boolean): Explored {
    return {
      states: this.seen.size,
      transitions: this.transitions,
      complete,
      broken: this.broken,
      deadEnds: complete ? this.deadEnds() : [],
      byPhase: Array.from({ length: 7 }, (_, phase) => this.byPhase[phase] ?? 0),
    };
  }

  /** States from which no end can be reached, found by walking every edge backwards from the ends. */
  private deadEnds(): Move[][] {
    const found = this.seen.size;
    let changed = true;
    while (changed) {
      changed = false;
      for (let edge = this.from.length - 1; edge >= 0; edge--) {
        const source = this.from.at(edge);
        if (this.exits.at(source) === 1 || this.exits.at(this.to.at(edge)) === 0) continue;
        this.exits.set(source, 1);
        changed = true;
      }
    }
    const dead: Move[][] = [];
    for (let id = 0; id < found && dead.length < MOST_DEAD_ENDS; id++) {
      if (this.exits.at(id) === 0) dead.push(this.pathTo(id));
    }
    return dead;
  }
}

/**
 * Explores a checklist.
 * @param without ids of interlocks taken out, to see what breaks then
 */
export function explore(
  checklist: Checklist,
  bounds: Bounds,
  limits: Limits,
  without: readonly string[] = [],
): Explored {
  return new Exploration(checklist, bounds, limits, without).run();
}

export { PROPERTY_IDS };
