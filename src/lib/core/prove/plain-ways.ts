/**
 * The plain ways through a checklist: what happens when people only do its steps, each choice either way,
 * with nothing lapsed, corrected, parked or gone wrong. Few enough states to be walked again at every change of
 * a draft, where `explore` and `reach` look at everything that can happen and take their time.
 *
 * Two things are found: a property that is broken on a plain way, and a place where the work ends before the
 * hand-back because nothing more opens. The first of each is a shortest one. What is not found here can
 * still be found by the others.
 */
import type { Checklist } from '../checklist/model.ts';
import type { Command } from '../job/commands.ts';
import { planOf } from '../job/plan.ts';
import { initialState, isEnded, type JobState } from '../job/state.ts';
import {
  safetyKey,
  startSafety,
  stepSafety,
  type PropertyId,
  type SafetyState,
} from '../safety/index.ts';
import { boundsOf } from './bounds.ts';
import { Growing } from './growing.ts';
import { after, movesFrom, type Move } from './moves.ts';
import { settleScene } from './settle-scene.ts';
import { stateKey } from './state-key.ts';

const PLAIN = new Set<Command['command']>([
  'open',
  'do',
  'notDone',
  'window',
  'endWindow',
  'close',
]);

export type PlainEnd =
  | { readonly kind: 'broken'; readonly property: PropertyId; readonly says: string }
  /** Nothing more can be done here, and the job is not handed back. */
  | { readonly kind: 'stuck' };

export interface PlainWay {
  readonly end: PlainEnd;
  readonly path: readonly Move[];
}

export interface PlainWays {
  readonly states: number;
  readonly transitions: number;
  /** Every plain way was walked. */
  readonly complete: boolean;
  /** Some plain way comes to the hand-back. */
  readonly handedBack: boolean;
  /** The shortest way to something wrong, if any was found. */
  readonly wrong: PlainWay | null;
}

export interface PlainLimits {
  readonly states: number;
  /** Called now and then with the states found and those done; `false` stops. */
  readonly progress?: (found: number, done: number) => boolean;
}

interface Node {
  readonly state: JobState;
  /** Its `stateKey`. */
  readonly key: string;
  readonly scene: SafetyState;
}

/** As many people as the step that asks for most; each of them may do every step. */
export function peopleNeeded({ steps }: Checklist): number {
  return Math.max(1, ...steps.map((step) => Math.max(step.people ?? 1, step.twice ? 2 : 1)));
}

/** A measurement that shows danger, or something stated, is no plain move; what is refused is none either. */
function isPlain({ command, events }: Move): boolean {
  return PLAIN.has(command.command) && events.every(({ type }) => type !== 'try.refused');
}

class Walk {
  private readonly plan;
  private readonly bounds;
  private readonly seen = new Set<string>();
  private readonly queue: (Node | undefined)[] = [];
  private readonly parents = new Growing();
  private readonly ordinals = new Growing();
  private transitions = 0;
  private handedBack = false;
  private wrong: PlainWay | null = null;

  constructor(checklist: Checklist) {
    this.plan = planOf(checklist);
    const people = peopleNeeded(checklist);
    this.bounds = boundsOf(checklist, people, 1);
    const state = initialState(this.plan, 'explored');
    this.add({ state, key: stateKey(state), scene: startSafety(checklist, 'told') }, -1, 0);
  }

  private add(node: Node, parent: number, ordinal: number): void {
    const { state, scene } = node;
    if (state.status === 'handedBack') this.handedBack = true;
    const before = this.seen.size;
    this.seen.add(isEnded(state) ? state.status : `${node.key}\u0000${safetyKey(scene)}`);
    if (this.seen.size === before) return;
    this.queue.push(node);
    this.parents.push(parent);
    this.ordinals.push(ordinal);
  }

  private plainMoves(state: JobState): Move[] {
    return movesFrom(state, this.bounds, PLAIN).filter(isPlain);
  }

  private pathTo(id: number): Move[] {
    const ordinals: number[] = [];
    for (let at = id; this.parents.at(at) >= 0; at = this.parents.at(at)) {
      ordinals.push(this.ordinals.at(at));
    }
    let state = initialState(this.plan, 'explored');
    return ordinals.reverse().map((ordinal) => {
      const move = this.plainMoves(state)[ordinal] as Move;
      state = after(state, move.events);
      return move;
    });
  }

  /** Plays the move beside the properties, and keeps where it leads. */
  private take(id: number, node: Node, move: Move, ordinal: number): Node {
    this.transitions++;
    let scene = node.scene;
    for (const event of move.events) {
      const stepped = stepSafety(scene, event);
      scene = stepped.state;
      const [violation] = stepped.violations;
      if (violation === undefined || this.wrong !== null) continue;
      const { property, says } = violation;
      const path = [...this.pathTo(id), move];
      this.wrong = { end: { kind: 'broken', property, says }, path };
    }
    const state = after(node.state, move.events);
    const next = { state, key: stateKey(state), scene: settleScene(scene, state) };
    this.add(next, id, ordinal);
    return next;
  }

  run(limits: PlainLimits): PlainWays {
    for (let id = 0; id < this.queue.length && this.wrong === null; id++) {
      const node = this.queue[id] as Node;
      this.queue[id] = undefined;
      if (!isEnded(node.state)) this.leave(id, node);
      if (this.seen.size > limits.states) return this.report(false);
      if (id % 128 === 0 && limits.progress?.(this.seen.size, id) === false) {
        return this.report(false);
      }
    }
    return this.report(this.wrong === null);
  }

  private leave(id: number, node: Node): void {
    let ways = 0;
    this.plainMoves(node.state).forEach((move, ordinal) => {
      const next = this.take(id, node, move, ordinal);
      if (isEnded(next.state) || next.key !== node.key) ways++;
    });
    if (ways === 0 && this.wrong === null) {
      this.wrong = { end: { kind: 'stuck' }, path: this.pathTo(id) };
    }
  }

  private report(complete: boolean): PlainWays {
    const { transitions, handedBack, wrong } = this;
    return { states: this.seen.size, transitions, complete, handedBack, wrong };
  }
}

/** Walks the plain ways of a checklist, one whose gates do not hang together too. */
export function plainWays(checklist: Checklist, limits: PlainLimits): PlainWays {
  return new Walk(checklist).run(limits);
}
