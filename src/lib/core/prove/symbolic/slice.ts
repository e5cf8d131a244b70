/**
 * The states of a job in which the same step is the first that is not settled, and what the moves do to them.
 *
 * Most variables are the same in all of them and stay so as long as the slice is not left: nothing of the steps far
 * ahead is settled, nothing of those far behind comes undone. Moves are told for what is left alone, which is all
 * that makes them small: over every state that the place has room for some are a thousand times as large.
 */
import type { Change, Closures } from './closure.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import type { Relation } from './relation.ts';

/** A move within the slice. */
interface Way {
  /** Where the place holds. */
  readonly inPlace: Relation;
  /** The same where what is fixed holds as well; nothing where it may not be made. */
  told: Told | undefined;
}

interface Told {
  readonly relation: Relation;
  /** Where it may be made, and where it then stays in the slice. */
  readonly may: Diagram;
  readonly stay: Diagram;
  /** What becomes of the variables where it stays and where it leaves; made when it is first asked for. */
  stays: Change | undefined;
  leaves: Change | undefined;
}

export class Slice {
  readonly place: Diagram;
  /** What has come so far, and what has come but was not yet gone on from. */
  states: Diagram = NO;
  waiting: Diagram = NO;
  /** What all of the states have in common as long as they stay, as a cube; nothing before there are any. */
  private fixed: Diagram = NO;
  private readonly d: Closures;
  private readonly relations: readonly Relation[];
  private readonly variables: number;
  private known: (Way | undefined)[] | undefined;

  /** @param relations of every move, by its number */
  constructor(d: Closures, place: Diagram, relations: readonly Relation[], variables: number) {
    this.d = d;
    this.place = place;
    this.relations = relations;
    this.variables = variables;
  }

  /** Goes on from what is waiting until nothing new falls into the slice; says what was added. */
  close(): Diagram {
    const { d } = this;
    this.fit();
    const before = this.states;
    const all = d.given(d.or(before, this.waiting), this.fixed);
    this.states = d.and(d.closed(all, this.staying()), this.fixed);
    this.waiting = NO;
    return d.but(this.states, before);
  }

  /** What leaves the slice from these of its states. */
  *leftFrom(states: Diagram): Iterable<Diagram> {
    for (const told of this.told()) {
      const { relation, changes } = this.leaves(told);
      if (relation !== NO) yield this.d.image(states, relation, changes);
    }
  }

  /** A question about states of the slice, as small as it can be said there. */
  within(question: Diagram): Diagram {
    return this.d.given(question, this.fixed);
  }

  /** The states in which the move of this number may be made. */
  allowed(move: number): Diagram {
    const may = this.known?.[move]?.told?.may ?? NO;
    return this.d.and(this.states, may);
  }

  /** Those of the states in which a move may be made that leads to one of these. */
  before(states: Diagram, to: Diagram): Diagram {
    const { d } = this;
    const [inside, outside] = [d.and(to, this.place), d.but(to, this.place)];
    let found: Diagram = NO;
    for (const told of states === NO ? [] : this.told()) {
      const [stays, leaves] = [this.stays(told), this.leaves(told)];
      const back = d.imageBack(inside, stays.relation, stays.changes);
      const led = d.or(back, d.imageBack(outside, leaves.relation, leaves.changes));
      found = d.or(found, d.and(states, led));
    }
    return found;
  }

  /**
   * Those of the states from which there is a way to some of them, or out of the slice to others. Asked of
   * what is reached alone: diagrams of the way back from states that never come swell.
   */
  allBefore(own: Diagram, others: Diagram): Diagram {
    const { d } = this;
    let to = own;
    for (const told of this.told()) {
      const { relation, changes } = this.leaves(told);
      to = d.or(to, d.and(this.states, d.imageBack(others, relation, changes)));
    }
    const states = this.within(this.states);
    const within = ({ relation, changes }: Change): Change => ({
      relation: d.and(relation, states),
      changes,
    });
    return d.and(d.closedBack(this.within(to), this.staying().map(within)), this.fixed);
  }

  /** What has to be kept when diagrams are collected. */
  *roots(): Iterable<Diagram> {
    yield* [this.place, this.states, this.waiting, this.fixed];
    for (const way of this.known ?? []) {
      if (way === undefined) continue;
      yield* way.inPlace.roots();
      if (way.told === undefined) continue;
      const { relation, may, stay, stays, leaves } = way.told;
      yield* [may, stay, ...relation.roots()];
      for (const each of [stays, leaves]) if (each) yield* [each.relation, each.changes];
    }
  }

  /** Finds anew what is fixed, and what the moves do under it, where the waiting states are not like those before. */
  private fit(): void {
    const { d } = this;
    if (d.implies(this.waiting, this.fixed)) return;
    this.fixed = d.common(d.or(this.fixed, this.waiting), this.variables);
    for (;;) {
      const freed = this.tell();
      if (freed.size === 0) return;
      this.fixed = d.loosened(this.fixed, freed);
    }
  }

  /** Tells the moves under what is fixed; says which of its variables one of them changes within the slice. */
  private tell(): Set<number> {
    const { d, fixed } = this;
    const here = d.given(this.place, fixed);
    const said = d.saidBy(fixed);
    const freed = new Set<number>();
    for (const way of this.ways()) {
      way.told = undefined;
      const relation = way.inPlace.given(fixed, said);
      const may = d.and(here, relation.allowed(YES));
      if (may === NO) continue;
      const inside = relation.isIdle ? YES : d.given(relation.leadsTo(this.place), fixed);
      const stay = d.and(may, inside);
      way.told = { relation, may, stay, stays: undefined, leaves: undefined };
      if (stay === NO) continue;
      for (const [variable, value] of relation.becomes()) {
        const is = said.get(variable);
        if (is === undefined || freed.has(variable)) continue;
        if ((is ? d.but(stay, value) : d.and(stay, value)) !== NO) freed.add(variable);
      }
    }
    return freed;
  }

  /** The moves that may be made somewhere in the place. */
  private *ways(): Iterable<Way> {
    this.known ??= this.relations.map((whole): Way | undefined => {
      const guards = whole.guardsWithin(this.place);
      if (guards.length === 0) return undefined;
      return { inPlace: whole.within(this.place, guards), told: undefined };
    });
    for (const way of this.known) if (way !== undefined) yield way;
  }

  /** Those that change anything. */
  private *told(): Iterable<Told> {
    for (const { told } of this.ways()) if (told && !told.relation.isIdle) yield told;
  }

  /** The moves that stay in the slice. */
  private staying(): Change[] {
    return Array.from(this.told(), (told) => this.stays(told));
  }

  /** What is fixed does not change there. */
  private stays(told: Told): Change {
    if (told.stays) return told.stays;
    const { d } = this;
    const said = d.saidBy(this.fixed);
    const relation = told.relation.without(said);
    const states = d.within(told.stay, d.given(this.place, this.fixed));
    told.stays = { relation: relation.from(states), changes: relation.sets };
    return told.stays;
  }

  private leaves(told: Told): Change {
    if (told.leaves) return told.leaves;
    const { d } = this;
    const { relation, may, stay } = told;
    const states = d.within(d.but(may, stay), d.given(this.place, this.fixed));
    told.leaves = { relation: relation.from(states), changes: relation.sets };
    return told.leaves;
  }
}
