/**
 * What all states of a set have in common, as a conjunction of variables and their opposites (a cube): each of its
 * nodes has one side that is `NO`. Where most variables are the same in all states that are asked about, a question
 * is small once they are taken out of it.
 */
import { Diagrams, NO, YES, type Diagram } from './diagrams.ts';
import { hashOf3 } from './mixing.ts';

/** An operation in the memory of results; `Diagrams` has those up to 5. */
const GIVEN = 6;
/** Of a variable, in the states seen so far. */
const [IS_NO, IS_YES] = [1, 2];

export class Cubes extends Diagrams {
  /**
   * The variables that are yes in all of the states, or no in all of them.
   * @param variables how many there are: 0, 2, 4, …
   */
  common(states: Diagram, variables: number): Diagram {
    if (states < 2) return states === YES ? YES : NO;
    const levels = variables * 2;
    const said = new Uint8Array(levels);
    /* Levels that some path passes by: plus one where it leaves a node, less one where it comes to the next. */
    const passedBy = new Int32Array(levels + 1);
    const pass = (from: number, to: number) => {
      passedBy[from] = (passedBy[from] as number) + 1;
      passedBy[to] = (passedBy[to] as number) - 1;
    };
    const levelOf = (at: Diagram) => (at === YES ? levels : (this.nodes[at * 4] as number));
    pass(0, levelOf(states));
    const seen = new Set<Diagram>([states]);
    for (const at of seen) {
      const level = this.nodes[at * 4] as number;
      for (const side of [1, 2]) {
        const next = this.nodes[at * 4 + side] as number;
        if (next === NO) continue;
        said[level] = (said[level] as number) | (side === 1 ? IS_NO : IS_YES);
        pass(level + 1, levelOf(next));
        if (next !== YES) seen.add(next);
      }
    }
    let passing = 0;
    for (let level = 0; level < levels; level++) {
      passing += passedBy[level] as number;
      if (passing > 0) said[level] = IS_NO | IS_YES;
    }
    return this.cubeOf(said);
  }

  /** The cube without these variables. */
  loosened(cube: Diagram, variables: Iterable<number>): Diagram {
    const said: number[] = [];
    for (let at = cube; at > 1; at = this.below(at)) {
      said[this.nodes[at * 4] as number] = this.nodes[at * 4 + 1] === NO ? IS_YES : IS_NO;
    }
    for (const variable of variables) said[this.levelOf(variable)] = 0;
    return this.cubeOf(said);
  }

  private cubeOf(said: ArrayLike<number>): Diagram {
    let cube: Diagram = YES;
    for (let level = said.length - 1; level >= 0; level--) {
      if (said[level] === IS_NO) cube = this.node(level, cube, NO);
      if (said[level] === IS_YES) cube = this.node(level, NO, cube);
    }
    return cube;
  }

  /** What is left of a cube below its uppermost variable. */
  private below(cube: Diagram): Diagram {
    const low = this.nodes[cube * 4 + 1] as number;
    return low === NO ? (this.nodes[cube * 4 + 2] as number) : low;
  }

  /** By variable what a cube says of it. */
  saidBy(cube: Diagram): Map<number, boolean> {
    const said = new Map<number, boolean>();
    for (let at = cube; at > 1; at = this.below(at)) {
      said.set(this.variableAt(this.nodes[at * 4] as number), this.nodes[at * 4 + 1] === NO);
    }
    return said;
  }

  /** The same question where a cube holds, without its variables. */
  given(a: Diagram, cube: Diagram): Diagram {
    const level = this.nodes[a * 4] as number;
    let own = cube;
    while (own > 1 && (this.nodes[own * 4] as number) < level) own = this.below(own);
    if (a < 2 || own < 2) return a;
    const { memo } = this;
    const slot = (hashOf3(GIVEN, a, own) & this.memoMask) * 4;
    if (memo[slot] === a && memo[slot + 1] === own && memo[slot + 2] === GIVEN) {
      return memo[slot + 3] as number;
    }
    const low = this.nodes[a * 4 + 1] as number;
    const high = this.nodes[a * 4 + 2] as number;
    const result =
      this.nodes[own * 4] === level
        ? this.given(this.nodes[own * 4 + 1] === NO ? high : low, this.below(own))
        : this.node(level, this.given(low, own), this.given(high, own));
    memo[slot] = a;
    memo[slot + 1] = own;
    memo[slot + 2] = GIVEN;
    memo[slot + 3] = result;
    return result;
  }
}
