/**
 * Every state that the engine can reach under a checklist, without the monitors beside it: how many there
 * are, and from which of them the job can never be handed back any more, however it is gone on with. (Parked is
 * no end here: a parked job waits to be taken up. Refused and held as evidence are ends of their own.) Over rows of numbers, each packed into an exact key;
 * people are taken as alike.
 */
import { initialState, type JobState } from '../job/state.ts';
import { planOf } from '../job/plan.ts';
import type { Checklist } from '../checklist/model.ts';
import type { Bounds } from '../job/enabled-commands.ts';
import { LAST_OPEN, pack, rowOf, unpack, type Layout } from './compact/layout.ts';
import { CompactJob } from './compact/moves.ts';
import { Store } from './compact/store.ts';
import { Symmetry } from './compact/symmetry.ts';
import { after, movesFrom, type Move } from './moves.ts';
import { Growing } from './growing.ts';

export interface ReachLimits {
  readonly states: number;
  /** Called now and then with the states found and those done; `false` stops. */
  readonly progress?: (found: number, done: number) => boolean;
}

export interface Reached {
  readonly states: number;
  readonly transitions: number;
  readonly complete: boolean;
  /**
   * Shortest paths to states that cannot lead to a hand-back, those furthest on in the checklist first;
   * known only when complete.
   */
  readonly deadEnds: readonly (readonly Move[])[];
}

const MOST_DEAD_ENDS = 3;
const HANDED_BACK = 5;

class Reach {
  private readonly job: CompactJob;
  private readonly layout: Layout;
  private readonly symmetry: Symmetry;
  private readonly store: Store;
  private readonly key: Int32Array;
  private readonly parents = new Growing();
  /** 1 for a state from which the hand-back is known to be reachable. */
  private readonly exits = new Growing();
  private readonly from = new Growing();
  private readonly to = new Growing();
  private readonly bounds: Bounds;
  private transitions = 0;

  constructor(checklist: Checklist, bounds: Bounds, without: readonly string[]) {
    this.bounds = bounds;
    this.job = new CompactJob(planOf(checklist, without), bounds);
    this.layout = this.job.layout;
    this.symmetry = new Symmetry(this.layout);
    this.store = new Store(this.layout.words);
    this.key = new Int32Array(this.layout.words);
    this.add(rowOf(this.layout, this.start()), -1);
  }

  private start(): JobState {
    return initialState(this.layout.plan, 'explored');
  }

  private keyOf(row: Int32Array): Int32Array {
    this.symmetry.settle(row);
    pack(this.layout, row, this.key, 0);
    return this.key;
  }

  private add(row: Int32Array, parent: number): number {
    const before = this.store.size;
    const id = this.store.add(this.keyOf(row));
    if (id < before) return id;
    const status = row[this.layout.status] as number;
    this.parents.push(parent);
    this.exits.push(status === HANDED_BACK ? 1 : 0);
    return id;
  }

  run(limits: ReachLimits): Reached {
    const { job, layout, store } = this;
    const row = new Int32Array(layout.length);
    for (let id = 0; id < store.size; id++) {
      unpack(layout, store.packed, id * layout.words, row);
      const first = this.from.length;
      job.movesFrom(row, () => this.take(id));
      if (this.exits.at(id) === 1) this.forgetFrom(first);
      if (store.size > limits.states) return this.report(false);
      if (id % 4096 === 0 && limits.progress?.(store.size, id) === false) return this.report(false);
    }
    return this.report(true);
  }

  private take(id: number): void {
    this.transitions++;
    const next = this.add(this.job.row, id);
    if (this.exits.at(id) === 1) return;
    if (this.exits.at(next) === 1) this.exits.set(id, 1);
    else if (next !== id) {
      this.from.push(id);
      this.to.push(next);
    }
  }

  /** The ways out of a state that has one to an end need not be kept. */
  private forgetFrom(length: number): void {
    this.from.length = length;
    this.to.length = length;
  }

  private report(complete: boolean): Reached {
    const { size } = this.store;
    const { transitions } = this;
    return { states: size, transitions, complete, deadEnds: complete ? this.deadEnds() : [] };
  }

  /** What is left when every way is walked backwards from the hand-back. */
  private deadEnds(): Move[][] {
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
    const row = new Int32Array(this.layout.length);
    const dead: { id: number; frontier: number }[] = [];
    for (let id = 0; id < this.store.size; id++) {
      if (this.exits.at(id) === 1) continue;
      unpack(this.layout, this.store.packed, id * this.layout.words, row);
      if ((row[this.layout.status] as number) > LAST_OPEN) continue; /* another end */
      this.job.row = row;
      dead.push({ id, frontier: this.job.frontier() });
    }
    dead.sort((a, b) => b.frontier - a.frontier || a.id - b.id);
    return dead.slice(0, MOST_DEAD_ENDS).map(({ id }) => this.pathTo(id));
  }

  /** The states on the way, and for each the engine's move that leads to it. */
  private pathTo(id: number): Move[] {
    const way: number[] = [];
    for (let at = id; this.parents.at(at) >= 0; at = this.parents.at(at)) way.push(at);
    let state = this.start();
    return way.reverse().map((next) => {
      for (const move of movesFrom(state, this.bounds)) {
        const reached = after(state, move.events);
        if (this.store.find(this.keyOf(rowOf(this.layout, reached))) !== next) continue;
        state = reached;
        return move;
      }
      throw new Error('The engine has no move where its compact form has one.');
    });
  }
}

/** @param without ids of interlocks taken out */
export function reach(
  checklist: Checklist,
  bounds: Bounds,
  limits: ReachLimits,
  without: readonly string[] = [],
): Reached {
  return new Reach(checklist, bounds, without).run(limits);
}
