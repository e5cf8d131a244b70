/**
 * Sets of states and yes-or-no questions about a state as binary decision diagrams: ordered, reduced and
 * shared (R. E. Bryant, "Graph-Based Algorithms for Boolean Function Manipulation", IEEE Transactions on
 * Computers C-35, 1986). Equal questions are the same number, so that nothing is ever approximate: a set
 * is empty exactly when its diagram is `NO`.
 *
 * A diagram is a whole number: 0 says no, 1 says yes, every other number is a node. Levels of variables are
 * even; the odd level below one is the same variable after a move.
 */
import { hashOf3 } from './mixing.ts';
import { NO, Nodes, YES, type Diagram } from './nodes.ts';

export { NO, YES, type Diagram } from './nodes.ts';

const [AND, OR, XOR, BUT, EXISTS, NEXT_TO_NOW, WITHIN] = [1, 2, 3, 4, 5, 6, 7];
/** Operations that have a number of their own for each move, and for each set of variables. */
const FIRST_COMPOSE = 64;
const FIRST_CUBE = 1 << 20;

export class Diagrams extends Nodes {
  /** The variable at a level, as a question. */
  variable(level: number): Diagram {
    return this.node(level, NO, YES);
  }

  levelOf(a: Diagram): number {
    return this.nodes[a * 4] as number;
  }

  and(a: Diagram, b: Diagram): Diagram {
    if (a === b || b === YES) return a;
    if (a === YES) return b;
    if (a === NO || b === NO) return NO;
    return a < b ? this.apply(AND, a, b) : this.apply(AND, b, a);
  }

  or(a: Diagram, b: Diagram): Diagram {
    if (a === b || b === NO) return a;
    if (a === NO) return b;
    if (a === YES || b === YES) return YES;
    return a < b ? this.apply(OR, a, b) : this.apply(OR, b, a);
  }

  xor(a: Diagram, b: Diagram): Diagram {
    if (a === b) return NO;
    if (a === NO) return b;
    if (b === NO) return a;
    return a < b ? this.apply(XOR, a, b) : this.apply(XOR, b, a);
  }

  not(a: Diagram): Diagram {
    return this.xor(a, YES);
  }

  /** `a` and not `b`. */
  but(a: Diagram, b: Diagram): Diagram {
    if (a === b || a === NO || b === YES) return NO;
    if (b === NO) return a;
    if (a === YES) return this.xor(b, YES);
    return this.apply(BUT, a, b);
  }

  /** `a` implies `b`, for every state. */
  implies(a: Diagram, b: Diagram): boolean {
    return this.but(a, b) === NO;
  }

  choose(when: Diagram, yes: Diagram, no: Diagram): Diagram {
    if (when === YES || yes === no) return yes;
    if (when === NO) return no;
    if (yes === YES) return this.or(when, no);
    if (yes === NO) return this.but(no, when);
    return this.or(this.and(when, yes), this.but(no, when));
  }

  all(list: Iterable<Diagram>): Diagram {
    let result = YES;
    for (const each of list) result = this.and(result, each);
    return result;
  }

  any(list: Iterable<Diagram>): Diagram {
    let result = NO;
    for (const each of list) result = this.or(result, each);
    return result;
  }

  private apply(op: number, a: Diagram, b: Diagram): Diagram {
    const slot = (hashOf3(op, a, b) & this.memoMask) * 4;
    const { memo } = this;
    if (memo[slot] === a && memo[slot + 1] === b && memo[slot + 2] === op) {
      return memo[slot + 3] as number;
    }
    const la = this.nodes[a * 4] as number;
    const lb = this.nodes[b * 4] as number;
    const level = la < lb ? la : lb;
    const a0 = la === level ? (this.nodes[a * 4 + 1] as number) : a;
    const a1 = la === level ? (this.nodes[a * 4 + 2] as number) : a;
    const b0 = lb === level ? (this.nodes[b * 4 + 1] as number) : b;
    const b1 = lb === level ? (this.nodes[b * 4 + 2] as number) : b;
    const result = this.node(level, this.combine(op, a0, b0), this.combine(op, a1, b1));
    memo[slot] = a;
    memo[slot + 1] = b;
    memo[slot + 2] = op;
    memo[slot + 3] = result;
    return result;
  }

  private combine(op: number, a: Diagram, b: Diagram): Diagram {
    return op === AND
      ? this.and(a, b)
      : op === OR
        ? this.or(a, b)
        : op === BUT
          ? this.but(a, b)
          : this.xor(a, b);
  }

  /** Whether some value of the variables in `cube` (all of them, joined by `and`) makes it true. */
  exists(a: Diagram, cube: Diagram): Diagram {
    if (a < 2) return a;
    const la = this.nodes[a * 4] as number;
    let left = cube;
    while ((this.nodes[left * 4] as number) < la) left = this.nodes[left * 4 + 2] as number;
    if (left === YES) return a;
    const slot = (hashOf3(EXISTS, a, left) & this.memoMask) * 4;
    const { memo } = this;
    if (memo[slot] === a && memo[slot + 1] === left && memo[slot + 2] === EXISTS) {
      return memo[slot + 3] as number;
    }
    const low = this.exists(this.nodes[a * 4 + 1] as number, left);
    const quantified = this.nodes[left * 4] === la;
    const result =
      quantified && low === YES
        ? YES
        : quantified
          ? this.or(low, this.exists(this.nodes[a * 4 + 2] as number, left))
          : this.node(la, low, this.exists(this.nodes[a * 4 + 2] as number, left));
    memo[slot] = a;
    memo[slot + 1] = left;
    memo[slot + 2] = EXISTS;
    memo[slot + 3] = result;
    return result;
  }

  /**
   * A question that agrees with `a` wherever `care` holds, and is chosen to be small elsewhere (O. Coudert and
   * J. C. Madre, "A Unified Framework for the Formal Verification of Sequential Circuits", ICCAD 1990).
   */
  within(a: Diagram, care: Diagram): Diagram {
    if (care === YES || a < 2) return a;
    if (a === care) return YES;
    const slot = (hashOf3(WITHIN, a, care) & this.memoMask) * 4;
    const { memo } = this;
    if (memo[slot] === a && memo[slot + 1] === care && memo[slot + 2] === WITHIN) {
      return memo[slot + 3] as number;
    }
    const la = this.nodes[a * 4] as number;
    const lc = this.nodes[care * 4] as number;
    const c0 = this.nodes[care * 4 + 1] as number;
    const c1 = this.nodes[care * 4 + 2] as number;
    let result: Diagram;
    if (lc < la) result = this.within(a, this.or(c0, c1));
    else {
      const a0 = this.nodes[a * 4 + 1] as number;
      const a1 = this.nodes[a * 4 + 2] as number;
      if (lc > la) result = this.node(la, this.within(a0, care), this.within(a1, care));
      else if (c0 === NO) result = this.within(a1, c1);
      else if (c1 === NO) result = this.within(a0, c0);
      else result = this.node(la, this.within(a0, c0), this.within(a1, c1));
    }
    memo[slot] = a;
    memo[slot + 1] = care;
    memo[slot + 2] = WITHIN;
    memo[slot + 3] = result;
    return result;
  }

  /** `exists` over `and`, without making the whole of what they have in common. */
  andExists(a: Diagram, b: Diagram, cube: Diagram): Diagram {
    if (a === NO || b === NO) return NO;
    if (a === YES) return this.exists(b, cube);
    if (b === YES || a === b) return this.exists(a, cube);
    const la = this.nodes[a * 4] as number;
    const lb = this.nodes[b * 4] as number;
    const level = la < lb ? la : lb;
    let left = cube;
    while ((this.nodes[left * 4] as number) < level) left = this.nodes[left * 4 + 2] as number;
    if (left === YES) return this.and(a, b);
    const op = FIRST_CUBE + left;
    const slot = (hashOf3(op, a, b) & this.memoMask) * 4;
    const { memo } = this;
    if (memo[slot] === a && memo[slot + 1] === b && memo[slot + 2] === op) {
      return memo[slot + 3] as number;
    }
    const a0 = la === level ? (this.nodes[a * 4 + 1] as number) : a;
    const a1 = la === level ? (this.nodes[a * 4 + 2] as number) : a;
    const b0 = lb === level ? (this.nodes[b * 4 + 1] as number) : b;
    const b1 = lb === level ? (this.nodes[b * 4 + 2] as number) : b;
    const low = this.andExists(a0, b0, left);
    let result: Diagram;
    if (this.nodes[left * 4] === level) {
      result = low === YES ? YES : this.or(low, this.andExists(a1, b1, left));
    } else result = this.node(level, low, this.andExists(a1, b1, left));
    memo[slot] = a;
    memo[slot + 1] = b;
    memo[slot + 2] = op;
    memo[slot + 3] = result;
    return result;
  }

  /** What is said of the variables after a move, said of them now. */
  nextToNow(a: Diagram): Diagram {
    if (a < 2) return a;
    const slot = (hashOf3(NEXT_TO_NOW, a, 0) & this.memoMask) * 4;
    const { memo } = this;
    if (memo[slot] === a && memo[slot + 2] === NEXT_TO_NOW) return memo[slot + 3] as number;
    const level = (this.nodes[a * 4] as number) & ~1;
    const low = this.nextToNow(this.nodes[a * 4 + 1] as number);
    const result = this.node(level, low, this.nextToNow(this.nodes[a * 4 + 2] as number));
    memo[slot] = a;
    memo[slot + 1] = 0;
    memo[slot + 2] = NEXT_TO_NOW;
    memo[slot + 3] = result;
    return result;
  }

  /**
   * The question asked of what a move leads to: variables replaced by what they become.
   * @param id a number of the move that no other move has
   * @param last the deepest level that changes
   */
  compose(a: Diagram, becomes: ReadonlyMap<number, Diagram>, id: number, last: number): Diagram {
    const level = this.nodes[a * 4] as number;
    if (level > last) return a;
    const op = FIRST_COMPOSE + id;
    const slot = (hashOf3(op, a, 0) & this.memoMask) * 4;
    const { memo } = this;
    if (memo[slot] === a && memo[slot + 2] === op) return memo[slot + 3] as number;
    const low = this.compose(this.nodes[a * 4 + 1] as number, becomes, id, last);
    const high = this.compose(this.nodes[a * 4 + 2] as number, becomes, id, last);
    const by = becomes.get(level) ?? this.variable(level);
    const result = this.choose(by, high, low);
    memo[slot] = a;
    memo[slot + 1] = 0;
    memo[slot + 2] = op;
    memo[slot + 3] = result;
    return result;
  }

  /** The levels that it asks about. */
  support(a: Diagram): Set<number> {
    const levels = new Set<number>();
    const seen = new Set<number>();
    const todo = [a];
    while (todo.length > 0) {
      const at = todo.pop() as number;
      if (at < 2 || seen.has(at)) continue;
      seen.add(at);
      levels.add(this.nodes[at * 4] as number);
      todo.push(this.nodes[at * 4 + 1] as number, this.nodes[at * 4 + 2] as number);
    }
    return levels;
  }

  /** How many settings of the first `variables` variables (levels 0, 2, 4, …) make it true; exact to 2^53. */
  countOf(a: Diagram, variables: number): number {
    const memo = new Map<number, number>();
    const place = (at: Diagram) => (at < 2 ? variables : (this.nodes[at * 4] as number) / 2);
    const below = (at: Diagram): number => {
      if (at < 2) return at;
      const known = memo.get(at);
      if (known !== undefined) return known;
      const own = place(at);
      const part = (child: Diagram) => below(child) * 2 ** (place(child) - own - 1);
      const sum = part(this.nodes[at * 4 + 1] as number) + part(this.nodes[at * 4 + 2] as number);
      memo.set(at, sum);
      return sum;
    };
    return below(a) * 2 ** place(a);
  }

  /** Whether it holds for these settings, by place of the variable. */
  holds(a: Diagram, settings: Uint8Array): boolean {
    let at = a;
    while (at > 1) {
      const set = settings[(this.nodes[at * 4] as number) >> 1] === 1;
      at = (set ? this.nodes[at * 4 + 2] : this.nodes[at * 4 + 1]) as number;
    }
    return at === YES;
  }

  /** One setting that makes it true, places not asked about left at 0; nothing when there is none. */
  example(a: Diagram, variables: number): Uint8Array | undefined {
    if (a === NO) return undefined;
    const settings = new Uint8Array(variables);
    for (let at = a; at > 1;) {
      const low = this.nodes[at * 4 + 1] as number;
      if (low === NO) settings[(this.nodes[at * 4] as number) >> 1] = 1;
      at = low === NO ? (this.nodes[at * 4 + 2] as number) : low;
    }
    return settings;
  }

  /** Nodes of one diagram. */
  sizeOf(a: Diagram): number {
    const seen = new Set<number>();
    const todo = [a];
    while (todo.length > 0) {
      const at = todo.pop() as number;
      if (at < 2 || seen.has(at)) continue;
      seen.add(at);
      todo.push(this.nodes[at * 4 + 1] as number, this.nodes[at * 4 + 2] as number);
    }
    return seen.size;
  }
}
