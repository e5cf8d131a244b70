/** The nodes of decision diagrams: each once, found by its hash, freed when nothing needs it; and the results to remember. */
import { hashOf3 } from './mixing.ts';

export type Diagram = number;
export const NO: Diagram = 0;
export const YES: Diagram = 1;

const LAST = 0x7fffffff;

export class Nodes {
  /** Four numbers for each node, side by side: its level, what follows from no and from yes, the next of its chain. */
  protected nodes = new Int32Array(4 << 16);
  private heads = new Int32Array(1 << 16).fill(-1);
  protected size = 2;
  private free = -1;
  private freed = 0;
  /** Results by operation and operands; lost when another falls on the same place. */
  protected readonly memo: Int32Array;
  protected readonly memoMask: number;

  /** @param memoBits places for remembered results, as a power of two; 16 bytes each */
  constructor(memoBits = 16) {
    this.memo = new Int32Array(4 << memoBits).fill(-1);
    this.memoMask = (1 << memoBits) - 1;
    this.nodes[0] = LAST;
    this.nodes[4] = LAST;
  }

  /** Nodes in use. */
  get count(): number {
    return this.size - this.freed;
  }

  protected node(level: number, low: Diagram, high: Diagram): Diagram {
    if (low === high) return low;
    const slot = hashOf3(level, low, high) & (this.heads.length - 1);
    for (let at = this.heads[slot] as number; at >= 0; at = this.nodes[at * 4 + 3] as number) {
      if (
        this.nodes[at * 4 + 1] === low &&
        this.nodes[at * 4 + 2] === high &&
        this.nodes[at * 4] === level
      )
        return at;
    }
    let at: number;
    if (this.free >= 0) {
      at = this.free;
      this.free = this.nodes[at * 4 + 3] as number;
      this.freed--;
    } else {
      if (this.size * 4 === this.nodes.length) this.grow();
      at = this.size++;
    }
    /* Growing may have moved the heads. */
    const place = hashOf3(level, low, high) & (this.heads.length - 1);
    this.nodes[at * 4] = level;
    this.nodes[at * 4 + 1] = low;
    this.nodes[at * 4 + 2] = high;
    this.nodes[at * 4 + 3] = this.heads[place] as number;
    this.heads[place] = at;
    return at;
  }

  /** Room for so many more; whether it had to be made. */
  protected makeRoom(more: number): boolean {
    const before = this.nodes.length;
    while ((this.size - this.freed + more) * 4 > this.nodes.length) this.grow();
    return this.nodes.length > before;
  }

  /** Takes a node out of its chain; it stays as it is. */
  protected unhook(at: number): void {
    const { nodes } = this;
    const slot = this.slotOf(at);
    const next = nodes[at * 4 + 3] as number;
    let each = this.heads[slot] as number;
    if (each === at) {
      this.heads[slot] = next;
      return;
    }
    while (nodes[each * 4 + 3] !== at) each = nodes[each * 4 + 3] as number;
    nodes[each * 4 + 3] = next;
  }

  /** Hangs a node, changed, on its chain. */
  protected hook(at: number): void {
    const slot = this.slotOf(at);
    this.nodes[at * 4 + 3] = this.heads[slot] as number;
    this.heads[slot] = at;
  }

  /** Frees a node that hangs on no chain. */
  protected discard(at: number): void {
    this.nodes[at * 4] = -1;
    this.nodes[at * 4 + 3] = this.free;
    this.free = at;
    this.freed++;
  }

  private slotOf(at: number): number {
    const { nodes } = this;
    const [level, low, high] = [nodes[at * 4], nodes[at * 4 + 1], nodes[at * 4 + 2]];
    return hashOf3(level as number, low as number, high as number) & (this.heads.length - 1);
  }

  /** Remembered results are of no use any more. */
  protected forget(): void {
    this.memo.fill(-1);
  }

  private grow(): void {
    const larger = new Int32Array(this.nodes.length * 2);
    larger.set(this.nodes);
    this.nodes = larger;
    this.hang();
  }

  /** Hangs every node that is in use on its head anew. */
  protected hang(): void {
    const places = this.nodes.length / 4;
    if (this.heads.length < places) this.heads = new Int32Array(places);
    this.heads.fill(-1);
    for (let at = 2; at < this.size; at++) {
      const level = this.nodes[at * 4] as number;
      if (level < 0) continue;
      const slot =
        hashOf3(level, this.nodes[at * 4 + 1] as number, this.nodes[at * 4 + 2] as number) &
        (this.heads.length - 1);
      this.nodes[at * 4 + 3] = this.heads[slot] as number;
      this.heads[slot] = at;
    }
  }

  /** Frees every node that none of the roots needs; numbers of the others stay. */
  collect(roots: Iterable<Diagram>): void {
    const kept = new Uint8Array(this.size);
    const todo: number[] = [];
    for (const root of roots) todo.push(root);
    while (todo.length > 0) {
      const at = todo.pop() as number;
      if (at < 2 || kept[at] === 1) continue;
      kept[at] = 1;
      todo.push(this.nodes[at * 4 + 1] as number, this.nodes[at * 4 + 2] as number);
    }
    this.free = -1;
    this.freed = 0;
    for (let at = 2; at < this.size; at++) if (kept[at] === 0) this.nodes[at * 4] = -1;
    this.hang();
    for (let at = this.size - 1; at >= 2; at--) {
      if (kept[at] === 1) continue;
      this.nodes[at * 4 + 3] = this.free;
      this.free = at;
      this.freed++;
    }
    this.memo.fill(-1);
  }
}
