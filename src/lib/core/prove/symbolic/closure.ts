/**
 * Everything that a set of states can come to by some moves, one after another: the recursion is on the diagrams
 * themselves, so that what stands deep is gone on from to its end before anything above it moves (S. Brand,
 * T. Bäck and A. Laarman, "A Decision Diagram Operation for Reachability", FM 2023; here many moves side by
 * side instead of one relation). Sets stay near the size that they have in the end, where going on from all of
 * them move by move lets them swell to twenty times that.
 */
import { Cubes } from './cubes.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import { hashOf3 } from './mixing.ts';

/** A move as `Diagrams.image` wants it. */
export interface Change {
  readonly relation: Diagram;
  readonly changes: Diagram;
}

/** Moves that are still possible below some level. */
interface Bundle {
  readonly id: number;
  readonly moves: readonly Change[];
  /** The level of the uppermost variable that one of them asks about or sets. */
  readonly top: number;
  parts: Parts | undefined;
}

/** Moves by what they do to that variable. */
interface Parts {
  readonly staysNo: Bundle | undefined;
  readonly staysYes: Bundle | undefined;
  readonly becomesYes: readonly Change[];
  readonly becomesNo: readonly Change[];
}

/** Operations in the memory of results; `Diagrams` has the lower ones. */
const FIRST_BUNDLE = 0x40000000;
/** Stand where other operations have their second operand, which is never negative. */
const ONWARDS = -2;
const BACKWARDS = -3;
type Direction = typeof ONWARDS | typeof BACKWARDS;

export class Closures extends Cubes {
  private readonly bundles = new Map<string, Bundle>();
  private bundlesEver = 0;

  /** `from`, and all that the moves lead to from it. */
  closed(from: Diagram, moves: readonly Change[]): Diagram {
    return this.close(from, this.bundleOf(moves), ONWARDS);
  }

  /** `to`, and all from which the moves lead to it. */
  closedBack(to: Diagram, moves: readonly Change[]): Diagram {
    return this.close(to, this.bundleOf(moves), BACKWARDS);
  }

  /** Bundles hold diagrams that no root names. */
  override collect(roots: Iterable<Diagram>): void {
    this.bundles.clear();
    super.collect(roots);
  }

  private close(states: Diagram, bundle: Bundle | undefined, direction: Direction): Diagram {
    if (bundle === undefined || states < 2) return states;
    const { memo } = this;
    const op = FIRST_BUNDLE + bundle.id;
    const slot = (hashOf3(op, states, direction) & this.memoMask) * 4;
    if (memo[slot] === states && memo[slot + 1] === direction && memo[slot + 2] === op) {
      return memo[slot + 3] as number;
    }
    const level = this.nodes[states * 4] as number;
    const low = level > bundle.top ? states : (this.nodes[states * 4 + 1] as number);
    const high = level > bundle.top ? states : (this.nodes[states * 4 + 2] as number);
    const result =
      level < bundle.top
        ? this.node(level, this.close(low, bundle, direction), this.close(high, bundle, direction))
        : this.closeBoth(low, high, bundle, direction);
    memo[slot] = states;
    memo[slot + 1] = direction;
    memo[slot + 2] = op;
    memo[slot + 3] = result;
    return result;
  }

  /** Closes what lies under no and under yes of the uppermost variable, and leads from one to the other until nothing is new. */
  private closeBoth(
    lowFirst: Diagram,
    highFirst: Diagram,
    bundle: Bundle,
    direction: Direction,
  ): Diagram {
    const { staysNo, staysYes, becomesYes, becomesNo } = this.partsOf(bundle);
    const [up, down] = direction === ONWARDS ? [becomesYes, becomesNo] : [becomesNo, becomesYes];
    let low = this.close(lowFirst, staysNo, direction);
    let high = this.close(this.or(highFirst, this.led(low, up, direction)), staysYes, direction);
    let newHigh = high;
    while (newHigh !== NO) {
      const lowBefore = low;
      low = this.close(this.or(low, this.led(newHigh, down, direction)), staysNo, direction);
      if (low === lowBefore) break;
      const highBefore = high;
      high = this.or(high, this.led(this.but(low, lowBefore), up, direction));
      high = this.close(high, staysYes, direction);
      newHigh = this.but(high, highBefore);
    }
    return this.node(bundle.top, low, high);
  }

  private led(states: Diagram, moves: readonly Change[], direction: Direction): Diagram {
    let found: Diagram = NO;
    for (const { relation, changes } of moves) {
      const led =
        direction === ONWARDS
          ? this.image(states, relation, changes)
          : this.imageBack(states, relation, changes);
      found = this.or(found, led);
    }
    return found;
  }

  private partsOf(bundle: Bundle): Parts {
    if (bundle.parts) return bundle.parts;
    const staysNo: Change[] = [];
    const staysYes: Change[] = [];
    const becomesYes: Change[] = [];
    const becomesNo: Change[] = [];
    const after = bundle.top + 1;
    for (const { relation, changes } of bundle.moves) {
      const ifNo = this.under(relation, bundle.top, 1);
      const ifYes = this.under(relation, bundle.top, 2);
      const level = this.nodes[changes * 4] as number;
      if (level === bundle.top) {
        const setsYes = this.nodes[changes * 4 + 1] === NO;
        const left = this.nodes[changes * 4 + (setsYes ? 2 : 1)] as number;
        (setsYes ? becomesYes : staysNo).push({ relation: ifNo, changes: left });
        (setsYes ? staysYes : becomesNo).push({ relation: ifYes, changes: left });
      } else if (level === after) {
        const left = this.nodes[changes * 4 + 2] as number;
        staysNo.push({ relation: this.under(ifNo, after, 1), changes: left });
        becomesYes.push({ relation: this.under(ifNo, after, 2), changes: left });
        becomesNo.push({ relation: this.under(ifYes, after, 1), changes: left });
        staysYes.push({ relation: this.under(ifYes, after, 2), changes: left });
      } else {
        staysNo.push({ relation: ifNo, changes });
        staysYes.push({ relation: ifYes, changes });
      }
    }
    bundle.parts = {
      staysNo: this.bundleOf(staysNo),
      staysYes: this.bundleOf(staysYes),
      becomesYes: this.joined(becomesYes),
      becomesNo: this.joined(becomesNo),
    };
    return bundle.parts;
  }

  /** A question with the variable of this level answered. @param side 1: no, 2: yes */
  private under(a: Diagram, level: number, side: 1 | 2): Diagram {
    return this.nodes[a * 4] === level ? (this.nodes[a * 4 + side] as number) : a;
  }

  /** Moves that set the same variables are one move. */
  private joined(moves: readonly Change[]): Change[] {
    const byChanges = new Map<Diagram, Diagram>();
    for (const { relation, changes } of moves) {
      if (relation === NO) continue;
      byChanges.set(changes, this.or(byChanges.get(changes) ?? NO, relation));
    }
    return [...byChanges].map(([changes, relation]) => ({ relation, changes }));
  }

  /** The same moves are the same bundle; nothing where none of them changes anything. */
  private bundleOf(list: readonly Change[]): Bundle | undefined {
    const moves = this.joined(list.filter(({ changes }) => changes !== YES));
    if (moves.length === 0) return undefined;
    moves.sort((a, b) => a.changes - b.changes);
    const key = moves.map(({ relation, changes }) => `${relation} ${changes}`).join();
    const known = this.bundles.get(key);
    if (known) return known;
    const levels = moves.flatMap(({ relation, changes }) => [
      this.nodes[relation * 4] as number,
      this.nodes[changes * 4] as number,
    ]);
    const top = levels.reduce((least, each) => Math.min(least, each)) & ~1;
    const bundle: Bundle = { id: this.bundlesEver++, moves, top, parts: undefined };
    this.bundles.set(key, bundle);
    return bundle;
  }
}
