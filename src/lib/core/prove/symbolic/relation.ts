/** A move as a step from sets of states to sets of states, forwards and backwards. */
import type { Cubes } from './cubes.ts';
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
  private readonly byVariable = new Map<number, Diagram>();
  private readonly id = relations++;
  private readonly d: Cubes;

  constructor(
    d: Cubes,
    move: Move,
    guards: readonly Guard[],
    changes: ReadonlyMap<number, Diagram>,
  ) {
    this.d = d;
    this.move = move;
    this.guards = guards;
    this.changes = changes;
    for (const [place, value] of changes) this.byVariable.set(place * 2, value);
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

  /**
   * The same move where a cube holds.
   * @param said what the cube says, by variable
   */
  given(cube: Diagram, said: ReadonlyMap<number, boolean>): Relation {
    const { d } = this;
    const small = (list: readonly Diagram[]) => list.map((each) => d.given(each, cube));
    const guards = this.guards.map(({ must, bars }) => ({ must: small(must), bars: small(bars) }));
    const changes = new Map<number, Diagram>();
    for (const [place, value] of this.changes) {
      const left = d.given(value, cube);
      const is = said.get(place * 2);
      const same = is === undefined ? d.variable(place * 2) : is ? YES : NO;
      if (left !== same) changes.set(place, left);
    }
    return new Relation(d, this.move, guards, changes);
  }

  /** The same move without what becomes of these variables. */
  without(variables: ReadonlyMap<number, unknown>): Relation {
    const changes = [...this.changes].filter(([place]) => !variables.has(place * 2));
    return new Relation(this.d, this.move, this.guards, new Map(changes));
  }

  /** The variables that it sets, each with what it becomes. */
  becomes(): Iterable<readonly [number, Diagram]> {
    return this.byVariable;
  }

  /** Whether it changes nothing at all. */
  get isIdle(): boolean {
    return this.changes.size === 0;
  }

  /** Those of the states in which it may be made. */
  allowed(states: Diagram): Diagram {
    return allowed(this.d, states, this.guards);
  }

  /** What becomes of the variables where it is made from one of these, as `Diagrams.image` wants it. */
  from(states: Diagram): Diagram {
    const { d } = this;
    let all = states;
    for (const [variable, value] of this.deepestFirst()) {
      if (value > 1) all = d.and(d.not(d.xor(d.variable(variable + 1), value)), all);
    }
    return all;
  }

  private deepestFirst(): [number, Diagram][] {
    const { d } = this;
    return [...this.byVariable].sort(([a], [b]) => d.levelOf(b) - d.levelOf(a));
  }

  /** The variables that it sets, as `Diagrams.image` wants them. */
  get sets(): Diagram {
    return this.d.changesOf(this.byVariable);
  }

  /** Where it would lead to one of these, whether or not it may be made. */
  leadsTo(to: Diagram): Diagram {
    return this.d.compose(to, this.byVariable, this.id);
  }

  /** What has to be kept when diagrams are collected. */
  roots(): Diagram[] {
    const guards = this.guards.flatMap(({ must, bars }) => [...must, ...bars]);
    return [...guards, ...this.changes.values()];
  }
}
