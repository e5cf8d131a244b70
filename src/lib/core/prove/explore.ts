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
  safetyKey,
  startSafety,
  stepSafety,
  type PropertyId,
  type SafetyState,
} from '../safety/index.ts';
import { after, movesFrom, type Move } from './moves.ts';
import { settleScene } from './settle-scene.ts';
import { Binding } from './binding.ts';
import { stateKey } from './state-key.ts';
import { Growing } from './growing.ts';

export interface Limits {
  /** The most states to keep; beyond it the exploration says that it is not complete. */
  readonly states: number;
  /** Stop at the first broken property. */
  readonly stopAtFirst?: boolean;
  /** Called now and then with the states found and those done; `false` stops. */
  readonly progress?: (found: number, done: number) => boolean;
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
  /** Gates that alone kept a step closed in some state, as `gateName` has them. */
  readonly binding: ReadonlySet<string>;
  /** How many states each phase of the checklist holds, in order. */
  readonly byPhase: readonly number[];
}

interface Node {
  readonly state: JobState;
  readonly scene: SafetyState;
}

class Exploration {
  private readonly plan: Plan;
  private readonly bounds: Bounds;
  private readonly limits: Limits;
  private readonly seen = new Set<string>();
  private readonly queue: (Node | undefined)[] = [];
  private readonly parents = new Growing();
  private readonly ordinals = new Growing();
  private readonly binding: Binding;
  private readonly broken = new Map<PropertyId, Broken>();
  private readonly byPhase: number[] = [];
  private transitions = 0;
  private full = false;

  constructor(checklist: Checklist, bounds: Bounds, limits: Limits, without: readonly string[]) {
    this.plan = planOf(checklist, without);
    this.bounds = bounds;
    this.limits = limits;
    this.binding = new Binding(this.plan);
    const state = initialState(this.plan, 'explored');
    this.add({ state, scene: startSafety(checklist, 'told') }, -1, 0);
  }

  /** Keeps a node that is new. */
  private add(node: Node, parent: number, ordinal: number): void {
    const key = isEnded(node.state)
      ? node.state.status
      : `${stateKey(node.state)}\u0000${safetyKey(node.scene)}`;
    if (this.seen.has(key)) return;
    if (this.seen.size >= this.limits.states) {
      this.full = true;
      return;
    }
    this.seen.add(key);
    this.queue.push(node);
    this.parents.push(parent);
    this.ordinals.push(ordinal);
    const phase = this.plan.steps[node.state.frontier]?.phase ?? 6;
    this.byPhase[phase] = (this.byPhase[phase] ?? 0) + 1;
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
    this.add({ state, scene: settleScene(scene, state) }, id, ordinal);
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
      this.binding.note(node.state);
      const moves = movesFrom(node.state, this.bounds);
      for (const [ordinal, move] of moves.entries()) {
        if (!this.take(id, node, move, ordinal)) return this.report(false);
      }
      if (this.full) return this.report(false);
      if (id % 512 === 0 && this.limits.progress?.(this.seen.size, id) === false) {
        return this.report(false);
      }
    }
    return this.report(true);
  }

  private report(complete: boolean): Explored {
    return {
      states: this.seen.size,
      transitions: this.transitions,
      complete,
      broken: this.broken,
      binding: this.binding.found,
      byPhase: Array.from({ length: 7 }, (_, phase) => this.byPhase[phase] ?? 0),
    };
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
