/** A move as a step from sets of states to sets of states, forwards and backwards. */
import { NO, YES, type Diagram, type Diagrams } from './diagrams.ts';
import type { Guard, Move } from './move.ts';

/** Those of the states in which one of the guards holds. */
export function allowed(d: Diagrams, states: Diagram, guards: readonly Guard[]): Diagram {
  let result: Diagram = NO;
  for (const { must, bars } of guards) {
    let some = states;
    for (const each of must) some = d.and(some, each);
    for (const each of bars) some = d.but(some, each);
    result = d.or(result, some);
  }
  return result;
}

/** A number for every relation: none is ever taken for another. */
let relations = 0;

/** The variables that a move sets, each with what it becomes. */
export class Relation {
  readonly move: Move;
  private readonly guards: readonly Guard[];
  /** By place of the variable. */
  private readonly changes: ReadonlyMap<number, Diagram>;
  /** What does not become a plain yes or no: joined to "it becomes this". */
  private readonly becomes: Diagram;
  /** Every variable that changes. */
  private readonly changed: Diagram;
  /** Those that become a plain yes or no, joined. */
  private readonly fixed: Diagram;
  private readonly byLevel = new Map<number, Diagram>();
  private readonly last: number;
  private readonly id = relations++;
  private readonly d: Diagrams;

  constructor(
    d: Diagrams,
    move: Move,
    guards: readonly Guard[],
    changes: ReadonlyMap<number, Diagram>,
    whole = true,
  ) {
    this.d = d;
    this.move = move;
    this.guards = guards;
    this.changes = changes;
    const places = [...changes.keys()].sort((a, b) => b - a);
    let [becomes, changed, fixed]: [Diagram, Diagram, Diagram] = [YES, YES, YES];
    for (const place of whole ? places : []) {
      const value = changes.get(place) as Diagram;
      const variable = d.variable(place * 2);
      this.byLevel.set(place * 2, value);
      changed = d.and(variable, changed);
      if (value < 2) fixed = d.and(value === YES ? variable : d.not(variable), fixed);
      else becomes = d.and(d.not(d.xor(d.variable(place * 2 + 1), value)), becomes);
    }
    [this.becomes, this.changed, this.fixed] = [becomes, changed, fixed];
    this.last = (places[0] ?? -1) * 2;
  }

  /** The same guards where `care` holds, as small as they can be said there. */
  guardsWithin(care: Diagram): Guard[] {
    const { d } = this;
    return this.guards.flatMap(({ must, bars }): Guard[] => {
      const all = must.map((each) => d.within(each, care)).filter((each) => each !== YES);
      const none = bars.map((each) => d.within(each, care)).filter((each) => each !== NO);
      return all.includes(NO) || none.includes(YES) ? [] : [{ must: all, bars: none }];
    });
  }

  /** The same move where `care` holds, under guards that are its own there. */
  within(care: Diagram, guards: readonly Guard[]): Relation {
    const { d } = this;
    const changes = new Map<number, Diagram>();
    for (const [place, value] of this.changes) {
      const small = d.within(value, care);
      if (small !== d.variable(place * 2)) changes.set(place, small);
    }
    return new Relation(d, this.move, guards, changes);
  }

  /** Whether it changes nothing at all. */
  get isIdle(): boolean {
    return this.changes.size === 0;
  }

  /** Those of the states in which it may be made. */
  allowed(states: Diagram): Diagram {
    return allowed(this.d, states, this.guards);
  }

  /** The states that it leads to from these, in each of which it may be made. */
  image(from: Diagram): Diagram {
    const { d } = this;
    if (from === NO) return NO;
    const moved = d.andExists(from, this.becomes, this.changed);
    return d.and(d.nextToNow(moved), this.fixed);
  }

  /** Where it would lead to one of these, whether or not it may be made. */
  leadsTo(to: Diagram): Diagram {
    return this.d.compose(to, this.byLevel, this.id, this.last);
  }

  /** What has to be kept when diagrams are collected. */
  roots(): Diagram[] {
    const guards = this.guards.flatMap(({ must, bars }) => [...must, ...bars]);
    return [...guards, this.becomes, this.changed, this.fixed, ...this.changes.values()];
  }
}
