/**
 * The order of the variables of diagrams, and how it is made better: each variable in turn tries every place
 * and stays where all diagrams together are smallest (R. Rudell, "Dynamic Variable Ordering for Ordered Binary
 * Decision Diagrams", ICCAD 1993). Numbers of diagrams stay, and so does what they say: only their size changes.
 *
 * A variable and the same one after a move (its number and the odd one above it) always stay side by side.
 */
import { Nodes, type Diagram } from './nodes.ts';

/** How much larger everything may become on the way to a better place. */
const GROWTH = 1.15;
/** Variables with a smaller part of all nodes than this stay where they are. */
const WORTH = 0.002;

export class Ordered extends Nodes {
  /** By variable its level, and the other way round. */
  private levels = new Int32Array(0);
  private variables = new Int32Array(0);
  /** While variables are moved: how many need each node (-1: none is there), and the nodes of each variable as a ring. */
  private needs = new Int32Array(0);
  private after = new Int32Array(0);
  private before = new Int32Array(0);
  private first = new Int32Array(0);
  private sizes = new Int32Array(0);
  /** By level when it began: the level now; and the other way round. */
  private place = new Int32Array(0);
  private standing = new Int32Array(0);

  /** The level of a variable; a new one comes below all others. */
  levelOf(variable: number): number {
    if (variable >= this.levels.length) {
      const old = this.levels.length;
      const length = Math.max(variable + 1, old * 2, 64) & ~1;
      const room = length > variable ? length : length + 2;
      const widen = (list: Int32Array) =>
        Int32Array.from({ length: room }, (_, at) => (at < old ? (list[at] as number) : at));
      [this.levels, this.variables] = [widen(this.levels), widen(this.variables)];
    }
    return this.levels[variable] as number;
  }

  /**
   * Puts the variables of these places (0, 2, 4, … are places 0, 1, 2, …) in this order, each with the one
   * after a move below it. Only before there is any diagram.
   */
  arrange(places: readonly number[]): void {
    this.levelOf(places.length * 2 - 1);
    places.forEach((place, at) => {
      for (const next of [0, 1]) {
        this.levels[place * 2 + next] = at * 2 + next;
        this.variables[at * 2 + next] = place * 2 + next;
      }
    });
  }

  /** The variable that stands at a level. */
  variableAt(level: number): number {
    return this.variables[level] as number;
  }

  /**
   * Moves the variables to where everything that the roots need is smallest. Everything else is freed.
   * @returns how many nodes are left
   */
  sift(roots: readonly Diagram[]): number {
    this.collect(roots);
    this.forget();
    this.begin(roots);
    const pairs = Array.from({ length: this.standing.length / 2 }, (_, pair) => pair * 2);
    const size = (at: number) => (this.sizes[at] as number) + (this.sizes[at + 1] as number);
    const least = this.count * WORTH;
    const worth = pairs.filter((at) => size(at) > least).sort((a, b) => size(b) - size(a));
    for (const each of worth) this.settle(each);
    this.finish();
    return this.count;
  }

  private begin(roots: readonly Diagram[]): void {
    const { nodes, size } = this;
    const room = nodes.length / 4;
    let last = 1;
    for (let at = 2; at < size; at++) last = Math.max(last, nodes[at * 4] as number);
    const levels = (last | 1) + 1;
    this.needs = new Int32Array(room).fill(-1);
    this.after = new Int32Array(room);
    this.before = new Int32Array(room);
    this.first = new Int32Array(levels).fill(-1);
    this.sizes = new Int32Array(levels);
    this.place = Int32Array.from({ length: levels }, (_, at) => at);
    this.standing = this.place.slice();
    for (let at = 2; at < size; at++) if ((nodes[at * 4] as number) >= 0) this.enter(at);
    for (let at = 2; at < size; at++) {
      if ((nodes[at * 4] as number) < 0) continue;
      this.need(nodes[at * 4 + 1] as number);
      this.need(nodes[at * 4 + 2] as number);
    }
    for (const root of roots) this.need(root);
  }

  private finish(): void {
    const { nodes, size, place } = this;
    for (let at = 2; at < size; at++) {
      const level = nodes[at * 4] as number;
      if (level >= 0) nodes[at * 4] = place[level] as number;
    }
    const levels = place.length;
    const known = this.levels.length;
    for (let variable = 0; variable < known; variable++) {
      const level = this.levels[variable] as number;
      if (level < levels) this.levels[variable] = place[level] as number;
    }
    for (let variable = 0; variable < known; variable++) {
      this.variables[this.levels[variable] as number] = variable;
    }
    this.needs = this.after = this.before = new Int32Array(0);
    this.hang();
  }

  /** Puts one pair where everything is smallest. `own`: its level when it began. */
  private settle(own: number): void {
    const most = this.count * GROWTH;
    const end = this.standing.length - 2;
    let best = this.count;
    let bestAt = this.place[own] as number;
    const note = () => {
      if (this.count >= best) return;
      best = this.count;
      bestAt = this.place[own] as number;
    };
    const down = (to: number, most: number) => {
      while ((this.place[own] as number) < to && this.count <= most) {
        this.exchangePairs(this.place[own] as number);
        note();
      }
    };
    const up = (to: number, most: number) => {
      while ((this.place[own] as number) > to && this.count <= most) {
        this.exchangePairs((this.place[own] as number) - 2);
        note();
      }
    };
    const at = this.place[own] as number;
    if (at > end / 2) {
      down(end, most);
      up(0, most);
    } else {
      up(0, most);
      down(end, most);
    }
    up(bestAt, Infinity);
    down(bestAt, Infinity);
  }

  /** The pair at this level changes places with the one below. */
  private exchangePairs(level: number): void {
    this.exchange(level + 1);
    this.exchange(level);
    this.exchange(level + 2);
    this.exchange(level + 1);
  }

  /** The variable at this level changes places with the one below. */
  private exchange(level: number): void {
    const upper = this.standing[level] as number;
    const lower = this.standing[level + 1] as number;
    this.standing[level] = lower;
    this.standing[level + 1] = upper;
    this.place[upper] = level + 1;
    this.place[lower] = level;
    if (this.sizes[upper] === 0 || this.sizes[lower] === 0) return;
    const moved: number[] = [];
    for (let at = this.first[upper] as number; at >= 0; at = this.after[at] as number) {
      const low = this.nodes[at * 4 + 1] as number;
      const high = this.nodes[at * 4 + 2] as number;
      if (this.nodes[low * 4] === lower || this.nodes[high * 4] === lower) moved.push(at);
    }
    this.ensure(moved.length * 2);
    for (const at of moved) {
      this.unhook(at);
      this.drop(at);
    }
    for (const at of moved) this.turn(at, upper, lower);
  }

  /** A node asks the lower variable first. */
  private turn(at: number, upper: number, lower: number): void {
    const { nodes } = this;
    const low = nodes[at * 4 + 1] as number;
    const high = nodes[at * 4 + 2] as number;
    const [lowAsks, highAsks] = [nodes[low * 4] === lower, nodes[high * 4] === lower];
    const a = this.made(
      upper,
      lowAsks ? (nodes[low * 4 + 1] as number) : low,
      highAsks ? (nodes[high * 4 + 1] as number) : high,
    );
    const b = this.made(
      upper,
      lowAsks ? (nodes[low * 4 + 2] as number) : low,
      highAsks ? (nodes[high * 4 + 2] as number) : high,
    );
    nodes[at * 4] = lower;
    nodes[at * 4 + 1] = a;
    nodes[at * 4 + 2] = b;
    this.hook(at);
    const needs = this.needs[at] as number;
    this.enter(at);
    this.needs[at] = needs;
    this.release(low);
    this.release(high);
  }

  /** A node that one more needs. */
  private made(level: number, low: Diagram, high: Diagram): Diagram {
    const at = this.node(level, low, high);
    if (at > 1 && (this.needs[at] as number) < 0) {
      this.enter(at);
      this.need(low);
      this.need(high);
    }
    this.need(at);
    return at;
  }

  private need(at: Diagram): void {
    if (at > 1) this.needs[at] = (this.needs[at] as number) + 1;
  }

  private release(from: Diagram): void {
    const todo = [from];
    while (todo.length > 0) {
      const at = todo.pop() as number;
      if (at < 2) continue;
      const left = (this.needs[at] as number) - 1;
      this.needs[at] = left;
      if (left > 0) continue;
      todo.push(this.nodes[at * 4 + 1] as number, this.nodes[at * 4 + 2] as number);
      this.unhook(at);
      this.drop(at);
      this.needs[at] = -1;
      this.discard(at);
    }
  }

  /** Enters a node among those of its variable; nothing needs it yet. */
  private enter(at: number): void {
    const own = this.nodes[at * 4] as number;
    const next = this.first[own] as number;
    this.after[at] = next;
    this.before[at] = -1;
    if (next >= 0) this.before[next] = at;
    this.first[own] = at;
    this.needs[at] = 0;
    this.sizes[own] = (this.sizes[own] as number) + 1;
  }

  private drop(at: number): void {
    const own = this.nodes[at * 4] as number;
    const [before, after] = [this.before[at] as number, this.after[at] as number];
    if (before < 0) this.first[own] = after;
    else this.after[before] = after;
    if (after >= 0) this.before[after] = before;
    this.sizes[own] = (this.sizes[own] as number) - 1;
  }

  private ensure(more: number): void {
    if (!this.makeRoom(more)) return;
    const room = this.nodes.length / 4;
    const widen = (list: Int32Array, fill: number) => {
      const larger = new Int32Array(room).fill(fill);
      larger.set(list);
      return larger;
    };
    this.needs = widen(this.needs, -1);
    this.after = widen(this.after, 0);
    this.before = widen(this.before, 0);
  }
}
