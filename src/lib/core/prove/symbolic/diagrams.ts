/**
 * Sets of states and yes-or-no questions about a state as binary decision diagrams: ordered, reduced and
 * shared (R. E. Bryant, "Graph-Based Algorithms for Boolean Function Manipulation", IEEE Transactions on
 * Computers C-35, 1986). Equal questions are the same number, so that nothing is ever approximate: a set
 * is empty exactly when its diagram is `NO`.
 *
 * A diagram is a whole number: 0 says no, 1 says yes, every other number is a node. Numbers of variables are
 * even; the odd number above one is the same variable after a move, and stands on the level below it.
 */
import { hashOf3 } from './mixing.ts';
import { NO, YES, type Diagram } from './nodes.ts';
import { Ordered } from './order.ts';

export { NO, YES, type Diagram } from './nodes.ts';

const [AND, OR, XOR, BUT, WITHIN] = [1, 2, 3, 4, 5];
/** Operations that have a number of their own for each move, and for each chain of changes. */
const FIRST_COMPOSE = 64;
const FIRST_CHAIN = 1 << 20;

export class Diagrams extends Ordered {
  /** A variable as a question. */
  variable(variable: number): Diagram {
    return this.node(this.levelOf(variable), NO, YES);
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

  /**
   * The states that a move leads to: those of `from` in which `relation` holds, with the variables of `changes`
   * set anew. All in one pass, since nearly all of the time of a walk is spent here.
   * @param relation when it may be made, joined to what the variables become (odd numbers)
   * @param changes the variables that it sets, as a chain: see `changesOf`
   */
  image(from: Diagram, relation: Diagram, changes: Diagram): Diagram {
    if (from === NO || relation === NO) return NO;
    if (changes === YES) return this.and(from, relation);
    const { nodes, memo } = this;
    const la = nodes[from * 4] as number;
    const lr = nodes[relation * 4] as number;
    const lc = nodes[changes * 4] as number;
    let level = (lr < lc ? lr : lc) & ~1;
    if (la < level) level = la;
    const op = FIRST_CHAIN + changes;
    const slot = (hashOf3(op, from, relation) & this.memoMask) * 4;
    if (memo[slot] === from && memo[slot + 1] === relation && memo[slot + 2] === op) {
      return memo[slot + 3] as number;
    }
    const a0 = la === level ? (nodes[from * 4 + 1] as number) : from;
    const a1 = la === level ? (nodes[from * 4 + 2] as number) : from;
    const r0 = lr === level ? (nodes[relation * 4 + 1] as number) : relation;
    const r1 = lr === level ? (nodes[relation * 4 + 2] as number) : relation;
    let result: Diagram;
    if ((lc & ~1) !== level) {
      const low = this.image(a0, r0, changes);
      result = this.node(level, low, this.image(a1, r1, changes));
    } else if (lc === level) {
      const yes = nodes[changes * 4 + 1] === NO;
      const left = nodes[changes * 4 + (yes ? 2 : 1)] as number;
      const all = this.or(this.image(a0, r0, left), this.image(a1, r1, left));
      result = yes ? this.node(level, NO, all) : this.node(level, all, NO);
    } else {
      const left = nodes[changes * 4 + 2] as number;
      const next = level + 1;
      const n0 = nodes[r0 * 4] === next;
      const n1 = nodes[r1 * 4] === next;
      const low = this.or(
        this.image(a0, n0 ? (this.nodes[r0 * 4 + 1] as number) : r0, left),
        this.image(a1, n1 ? (this.nodes[r1 * 4 + 1] as number) : r1, left),
      );
      const high = this.or(
        this.image(a0, n0 ? (this.nodes[r0 * 4 + 2] as number) : r0, left),
        this.image(a1, n1 ? (this.nodes[r1 * 4 + 2] as number) : r1, left),
      );
      result = this.node(level, low, high);
    }
    memo[slot] = from;
    memo[slot + 1] = relation;
    memo[slot + 2] = op;
    memo[slot + 3] = result;
    return result;
  }

  /** The states from which a move leads to one of these: `image` the other way round. */
  imageBack(to: Diagram, relation: Diagram, changes: Diagram): Diagram {
    if (to === NO || relation === NO) return NO;
    if (changes === YES) return this.and(to, relation);
    const { nodes, memo } = this;
    const op = -FIRST_CHAIN - changes;
    const slot = (hashOf3(op, to, relation) & this.memoMask) * 4;
    if (memo[slot] === to && memo[slot + 1] === relation && memo[slot + 2] === op) {
      return memo[slot + 3] as number;
    }
    const lt = nodes[to * 4] as number;
    const lr = nodes[relation * 4] as number;
    const lc = nodes[changes * 4] as number;
    const level = Math.min(lt, lr & ~1, lc & ~1);
    const t0 = lt === level ? (nodes[to * 4 + 1] as number) : to;
    const t1 = lt === level ? (nodes[to * 4 + 2] as number) : to;
    const r0 = lr === level ? (nodes[relation * 4 + 1] as number) : relation;
    const r1 = lr === level ? (nodes[relation * 4 + 2] as number) : relation;
    let low: Diagram;
    let high: Diagram;
    if ((lc & ~1) !== level) {
      low = this.imageBack(t0, r0, changes);
      high = this.imageBack(t1, r1, changes);
    } else if (lc === level) {
      const yes = nodes[changes * 4 + 1] === NO;
      const left = nodes[changes * 4 + (yes ? 2 : 1)] as number;
      low = this.imageBack(yes ? t1 : t0, r0, left);
      high = this.imageBack(yes ? t1 : t0, r1, left);
    } else {
      const left = nodes[changes * 4 + 2] as number;
      const next = level + 1;
      const n0 = nodes[r0 * 4] === next;
      const n1 = nodes[r1 * 4] === next;
      const [r00, r01] = n0 ? [nodes[r0 * 4 + 1], nodes[r0 * 4 + 2]] : [r0, r0];
      const [r10, r11] = n1 ? [nodes[r1 * 4 + 1], nodes[r1 * 4 + 2]] : [r1, r1];
      low = this.or(
        this.imageBack(t0, r00 as number, left),
        this.imageBack(t1, r01 as number, left),
      );
      high = this.or(
        this.imageBack(t0, r10 as number, left),
        this.imageBack(t1, r11 as number, left),
      );
    }
    const result = this.node(level, low, high);
    memo[slot] = to;
    memo[slot + 1] = relation;
    memo[slot + 2] = op;
    memo[slot + 3] = result;
    return result;
  }

  /**
   * Variables that a move sets, as a chain for `image`: one that becomes a plain yes or no is that literal, one that
   * becomes something else stands there as the variable after the move.
   */
  changesOf(becomes: ReadonlyMap<number, Diagram>): Diagram {
    let chain: Diagram = YES;
    const deepestFirst = [...becomes.keys()].sort((a, b) => this.levelOf(b) - this.levelOf(a));
    for (const variable of deepestFirst) {
      const value = becomes.get(variable);
      const level = this.levelOf(variable);
      if (value === YES) chain = this.node(level, NO, chain);
      else if (value === NO) chain = this.node(level, chain, NO);
      else chain = this.node(level + 1, NO, chain);
    }
    return chain;
  }

  /**
   * The question asked of what a move leads to: variables replaced by what they become.
   * @param becomes by variable
   * @param id a number of the move that no other move has
   */
  compose(a: Diagram, becomes: ReadonlyMap<number, Diagram>, id: number): Diagram {
    let last = -1;
    for (const variable of becomes.keys()) last = Math.max(last, this.levelOf(variable));
    return this.composed(a, becomes, id, last);
  }

  /** @param last the deepest level that changes */
  private composed(
    a: Diagram,
    becomes: ReadonlyMap<number, Diagram>,
    id: number,
    last: number,
  ): Diagram {
    const level = this.nodes[a * 4] as number;
    if (level > last) return a;
    const op = FIRST_COMPOSE + id;
    const slot = (hashOf3(op, a, 0) & this.memoMask) * 4;
    const { memo } = this;
    if (memo[slot] === a && memo[slot + 2] === op) return memo[slot + 3] as number;
    const low = this.composed(this.nodes[a * 4 + 1] as number, becomes, id, last);
    const high = this.composed(this.nodes[a * 4 + 2] as number, becomes, id, last);
    const variable = this.variableAt(level);
    const by = becomes.get(variable) ?? this.variable(variable);
    const result = this.choose(by, high, low);
    memo[slot] = a;
    memo[slot + 1] = 0;
    memo[slot + 2] = op;
    memo[slot + 3] = result;
    return result;
  }

  /** The variables that it asks about. */
  support(a: Diagram): Set<number> {
    const variables = new Set<number>();
    const seen = new Set<number>();
    const todo = [a];
    while (todo.length > 0) {
      const at = todo.pop() as number;
      if (at < 2 || seen.has(at)) continue;
      seen.add(at);
      variables.add(this.variableAt(this.nodes[at * 4] as number));
      todo.push(this.nodes[at * 4 + 1] as number, this.nodes[at * 4 + 2] as number);
    }
    return variables;
  }

  /**
   * How many settings of so many variables (0, 2, 4, …, all that it asks about among them) make it true; exact to
   * 2^53, since the part of all settings that is counted with is then a whole number over a power of two.
   */
  countOf(a: Diagram, variables: number): number {
    const memo = new Map<number, number>();
    const part = (at: Diagram): number => {
      if (at < 2) return at;
      const known = memo.get(at);
      if (known !== undefined) return known;
      const low = part(this.nodes[at * 4 + 1] as number);
      const sum = (low + part(this.nodes[at * 4 + 2] as number)) / 2;
      memo.set(at, sum);
      return sum;
    };
    return part(a) * 2 ** variables;
  }

  /** Whether it holds for these settings, by place of the variable. */
  holds(a: Diagram, settings: Uint8Array): boolean {
    let at = a;
    while (at > 1) {
      const set = settings[this.variableAt(this.nodes[at * 4] as number) >> 1] === 1;
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
      if (low === NO) settings[this.variableAt(this.nodes[at * 4] as number) >> 1] = 1;
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
