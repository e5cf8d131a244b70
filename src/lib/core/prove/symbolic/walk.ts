/**
 * Every state that a job can reach, as one set, and from which of them it can still be handed back. Sets are
 * diagrams, so what is counted here was not met one by one: it is exact all the same.
 */
import { initialState, isEnded, type JobState } from '../../job/state.ts';
import type { Bounds } from '../../job/enabled-commands.ts';
import { after, movesFrom } from '../moves.ts';
import { planOf } from '../../job/plan.ts';
import type { Checklist } from '../../checklist/model.ts';
import { Closures, type Change } from './closure.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import { changedOf } from './endings.ts';
import type { Guard, Move } from './move.ts';
import { Moves } from './moves.ts';
import { orderOf } from './names.ts';
import { allowed, Relation } from './relation.ts';
import { settingsOf, variablesOf, type Variables } from './variables.ts';

const COLLECT_AT = 300_000;
/** Results to remember, as a power of two: with a quarter of them the longest walks take twice as long. */
const MEMO_BITS = 20;

/** A move within one slice. */
interface Way {
  readonly whole: Relation;
  readonly guards: readonly Guard[];
  /** Made when the slice is first gone on from. */
  made: Made | undefined;
}

interface Made {
  readonly relation: Relation;
  /** The variables that it sets. */
  readonly sets: Diagram;
  /** What becomes of them where it may be made and stays in the slice, and where it leaves it. */
  readonly stays: Diagram;
  readonly leaves: Diagram;
}

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
    this.relations = this.moves.list.flatMap((move) => {
      if (move.to === undefined) return [];
      const changes = new Map<number, Diagram>();
      for (const place of changedOf(this.of, this.moves.from, move.to)) {
        changes.set(place, move.to.bits[place] as number);
      }
      return [new Relation(this.d, move, move.guards, changes)];
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

  /** By place in the order: the states that have come so far, and those of them not yet gone on from. */
  readonly slices: Diagram[] = [];
  private readonly waiting: Diagram[] = [];
  private readonly places: Diagram[] = [];
  private readonly known: (readonly Way[])[] = [];

  run(progress: (nodes: number, at: number) => boolean = () => true): boolean {
    const { d } = this;
    const { from } = this.moves;
    const length = this.of.plan.steps.length;
    for (let at = 0; at <= length; at++) {
      const stop = at === length ? 0 : from.passed(at);
      this.places.push(d.but(from.passedBefore(at), stop));
      this.slices.push(NO);
      this.waiting.push(NO);
    }
    this.spread(this.one(this.opened), 0);
    /* In the order of the checklist, over and over: what comes back to an earlier place waits for the next turn. */
    for (let at = 0; ; at++) {
      if (at > length) at = 0;
      if (this.waiting[at] === NO) {
        if (this.waiting.every((each) => each === NO)) return true;
        continue;
      }
      this.rounds++;
      this.close(at);
      if (!progress(this.d.count, at)) return false;
    }
  }

  /** Goes on from the waiting states of a slice until nothing new falls into it, then to the others. */
  private close(at: number): void {
    const { d } = this;
    const own = this.ways(at);
    const before = this.slices[at] as Diagram;
    const all = d.closed(d.or(before, this.waiting[at] as Diagram), this.staying(at));
    const added = d.but(all, before);
    this.waiting[at] = NO;
    this.slices[at] = all;
    this.tidy([added]);
    for (const way of own) {
      const { sets, leaves } = this.make(way, at);
      this.spread(d.image(added, leaves, sets), at + 1);
      this.tidy([added]);
    }
  }

  /** The moves that stay in a slice. */
  private staying(at: number): Change[] {
    return this.ways(at).map((way) => {
      const { sets, stays } = this.make(way, at);
      return { relation: stays, changes: sets };
    });
  }

  /** The moves that may be made somewhere in a slice. */
  private ways(at: number): readonly Way[] {
    const known = this.known[at];
    if (known) return known;
    const place = this.places[at] as Diagram;
    const list = this.relations.flatMap((whole): Way[] => {
      const guards = whole.isIdle ? [] : whole.guardsWithin(place);
      return guards.length === 0 ? [] : [{ whole, guards, made: undefined }];
    });
    this.known[at] = list;
    return list;
  }

  /**
   * What the move does there. Its guards are joined to it: within one slice they are small, and a set is gone
   * through once instead of once for each part of them.
   */
  private make(way: Way, at: number): Made {
    if (way.made) return way.made;
    const { d } = this;
    const place = this.places[at] as Diagram;
    const relation = way.whole.within(place, way.guards);
    const may = d.within(relation.allowed(YES), place);
    const inside = relation.isIdle ? YES : d.within(relation.leadsTo(place), place);
    way.made = {
      relation,
      sets: relation.sets,
      stays: relation.isIdle ? NO : relation.from(d.within(d.and(may, inside), place)),
      leaves: relation.from(d.within(d.but(may, inside), place)),
    };
    return way.made;
  }

  /** Puts states into the slices that they belong to; `first` is the likeliest. */
  private spread(states: Diagram, first: number): void {
    const { d } = this;
    let rest = states;
    const length = this.places.length;
    for (let turn = 0; turn < length && rest !== NO; turn++) {
      const at = (first + turn) % length;
      const own = d.and(rest, this.places[at] as Diagram);
      if (own === NO) continue;
      rest = d.but(rest, own);
      const found = d.but(own, this.slices[at] as Diagram);
      this.waiting[at] = d.or(this.waiting[at] as Diagram, found);
    }
  }

  /** How many states are open: at work, down or parked. */
  get states(): number {
    return this.slices.reduce((sum, slice) => sum + this.d.countOf(slice, this.of.count), 0);
  }

  /** How many moves may be made in all of them together. */
  get transitions(): number {
    let sum = 0;
    for (const slice of this.slices) {
      for (const { guards } of slice === NO ? [] : this.moves.list) {
        sum += this.d.countOf(allowed(this.d, slice, guards), this.of.count);
      }
    }
    return sum;
  }

  /** Whether some state in which the job is still open may be ended so. */
  mayEnd(end: NonNullable<Move['end']>): boolean {
    return this.moves.list.some(
      (move) =>
        move.end === end && this.slices.some((slice) => allowed(this.d, slice, move.guards) !== NO),
    );
  }

  /** Those of the states of a slice in which a move may be made that leads to one of these. */
  before(at: number, states: Diagram, to: Diagram): Diagram {
    if (states === NO) return NO;
    const { d } = this;
    const place = this.places[at] as Diagram;
    const [inside, outside] = [d.and(to, place), d.but(to, place)];
    let found: Diagram = NO;
    for (const way of this.ways(at)) {
      const { sets, stays, leaves } = this.make(way, at);
      const led = d.or(d.imageBack(inside, stays, sets), d.imageBack(outside, leaves, sets));
      found = d.or(found, d.and(states, led));
    }
    return found;
  }

  /**
   * Those of the states of a slice from which there is a way to some of them, or out of the slice to others. Asked of
   * what is reached alone: diagrams of the way back from states that never come swell.
   */
  allBefore(at: number, own: Diagram, others: Diagram): Diagram {
    const { d } = this;
    const slice = this.slices[at] as Diagram;
    let to = own;
    for (const way of this.ways(at)) {
      const { sets, leaves } = this.make(way, at);
      to = d.or(to, d.and(slice, d.imageBack(others, leaves, sets)));
    }
    const within = ({ relation, changes }: Change): Change => ({
      relation: d.and(relation, slice),
      changes,
    });
    return d.closedBack(to, this.staying(at).map(within));
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

  place(at: number): Diagram {
    return this.places[at] as Diagram;
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
    this.d.collect([...this.slices, ...this.waiting, ...this.places, ...more, ...this.roots()]);
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
    for (const ways of this.known) {
      for (const { made, guards } of ways ?? []) {
        if (made) yield* [made.sets, made.stays, made.leaves, ...made.relation.roots()];
        for (const { must, bars } of guards) yield* [...must, ...bars];
      }
    }
  }
}
