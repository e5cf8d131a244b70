/**
 * Every state that a job can reach, as one set, and from which of them it can still be handed back. Sets are
 * diagrams, so what is counted here was not met one by one: it is exact all the same.
 */
import { initialState, isEnded, type JobState } from '../../job/state.ts';
import type { Bounds } from '../../job/enabled-commands.ts';
import { after, movesFrom } from '../moves.ts';
import { planOf } from '../../job/plan.ts';
import type { Checklist } from '../../checklist/model.ts';
import { Closures } from './closure.ts';
import { NO, type Diagram } from './diagrams.ts';
import { changedOf } from './endings.ts';
import type { Move } from './move.ts';
import { Moves } from './moves.ts';
import { orderOf } from './names.ts';
import { Relation } from './relation.ts';
import { Slice } from './slice.ts';
import { settingsOf, variablesOf, type Variables } from './variables.ts';

const COLLECT_AT = 300_000;
/** Results to remember, as a power of two: with a quarter of them the longest walks take twice as long. */
const MEMO_BITS = 20;

export class Walk {
  readonly d = new Closures(MEMO_BITS);
  readonly of: Variables;
  readonly moves: Moves;
  readonly relations: readonly Relation[];
  readonly unopened: JobState;
  readonly opened: JobState;
  rounds = 0;
  private collectAt = COLLECT_AT;

  constructor(checklist: Checklist, bounds: Bounds, without: readonly string[] = []) {
    const plan = planOf(checklist, without);
    this.of = variablesOf(plan, bounds);
    this.d.arrange(orderOf(this.of));
    this.moves = new Moves(this.d, this.of);
    this.unopened = initialState(plan, 'explored');
    const first = movesFrom(this.unopened, bounds)[0];
    this.opened = after(this.unopened, first?.events ?? []);
    this.relations = this.moves.list.map((move) => {
      const changes = new Map<number, Diagram>();
      for (const place of move.to ? changedOf(this.of, this.moves.from, move.to) : []) {
        changes.set(place, move.to?.bits[place] as number);
      }
      return new Relation(this.d, move, move.guards, changes);
    });
  }

  /** The set that holds one state alone. */
  one(state: JobState): Diagram {
    const settings = settingsOf(this.of, state);
    let set: Diagram = 1;
    for (let place = this.of.count - 1; place >= 0; place--) {
      const variable = this.d.variable(place * 2);
      set = this.d.and(settings[place] === 1 ? variable : this.d.not(variable), set);
    }
    return set;
  }

  /** By place in the order. */
  readonly slices: Slice[] = [];

  run(progress: (nodes: number, at: number) => boolean = () => true): boolean {
    const { d } = this;
    const { from } = this.moves;
    const length = this.of.plan.steps.length;
    for (let at = 0; at <= length; at++) {
      const stop = at === length ? 0 : from.passed(at);
      const place = d.but(from.passedBefore(at), stop);
      this.slices.push(new Slice(d, place, this.relations, this.of.count));
    }
    this.spread(this.one(this.opened), 0);
    /* In the order of the checklist, over and over: what comes back to an earlier place waits for the next turn. */
    for (let at = 0; ; at++) {
      if (at > length) at = 0;
      if (this.slices[at]?.waiting === NO) {
        if (this.slices.every(({ waiting }) => waiting === NO)) return true;
        continue;
      }
      this.rounds++;
      this.close(this.slices[at] as Slice, at);
      if (!progress(this.d.count, at)) return false;
    }
  }

  /** Goes on from the waiting states of a slice until nothing new falls into it, then to the others. */
  private close(slice: Slice, at: number): void {
    const added = slice.close();
    this.tidy([added]);
    for (const left of slice.leftFrom(added)) {
      this.spread(left, at + 1);
      this.tidy([added]);
    }
  }

  /** Puts states into the slices that they belong to; `first` is the likeliest. */
  private spread(states: Diagram, first: number): void {
    const { d, slices } = this;
    let rest = states;
    for (let turn = 0; turn < slices.length && rest !== NO; turn++) {
      const slice = slices[(first + turn) % slices.length] as Slice;
      const own = d.and(rest, slice.place);
      if (own === NO) continue;
      rest = d.but(rest, own);
      slice.waiting = d.or(slice.waiting, d.but(own, slice.states));
    }
  }

  /** How many states are open: at work, down or parked. */
  get states(): number {
    return this.slices.reduce((sum, { states }) => sum + this.d.countOf(states, this.of.count), 0);
  }

  /** How many moves may be made in all of them together. */
  get transitions(): number {
    let sum = 0;
    for (const slice of this.slices) {
      for (let move = 0; move < this.relations.length; move++) {
        sum += this.d.countOf(slice.allowed(move), this.of.count);
      }
    }
    return sum;
  }

  /** Whether some state in which the job is still open may be ended so. */
  mayEnd(end: NonNullable<Move['end']>): boolean {
    return this.moves.list.some(
      (move, number) =>
        move.end === end && this.slices.some((slice) => slice.allowed(number) !== NO),
    );
  }

  /** The job is open: it has variables. */
  isOpen(state: JobState): boolean {
    return state.status !== 'notOpened' && !isEnded(state);
  }

  get atWork(): Diagram {
    const { down, parkedUsable, parkedShut } = this.of;
    const { from } = this.moves;
    return this.d.not(this.d.any([down, parkedUsable, parkedShut].map((each) => from.at(each))));
  }

  /** Frees what nothing needs any more, once there is much of it. */
  tidy(more: readonly Diagram[]): void {
    if (this.d.count > this.collectAt) {
      this.collect(more);
      this.collectAt = Math.max(COLLECT_AT, this.d.count * 2);
    }
  }

  private collect(more: readonly Diagram[]): void {
    this.moves.from.forget();
    this.d.collect([...more, ...this.roots()]);
  }

  private *roots(): Iterable<Diagram> {
    for (const bit of this.moves.from.bits) yield bit;
    for (const { guards, to, happenings } of this.moves.list) {
      for (const { must, bars } of guards) yield* [...must, ...bars];
      if (to) yield* to.bits;
      for (const each of happenings) {
        if (each.kind === 'leftOut') yield each.when;
        if (each.kind === 'lapse') yield* each.ended;
      }
    }
    for (const relation of this.relations) yield* relation.roots();
    for (const slice of this.slices) yield* slice.roots();
  }
}
