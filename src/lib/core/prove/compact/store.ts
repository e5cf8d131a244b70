/**
 * The packed states that were found, each once, numbered in the order of finding. Exact: two states are
 * the same only when every word is; a hash only says where to look.
 */
export class Store {
  readonly words: number;
  size = 0;
  private arena: Int32Array;
  private table: Int32Array;
  private mask: number;

  constructor(words: number) {
    this.words = words;
    this.arena = new Int32Array(words << 12);
    this.table = new Int32Array(1 << 13).fill(-1);
    this.mask = this.table.length - 1;
  }

  /** The words of all states; the state `id` begins at `id * words`. Replaced when it grows. */
  get packed(): Int32Array {
    return this.arena;
  }

  /** The number of the state packed at the start of `from`: known, or new when it equals the old size. */
  add(from: Int32Array): number {
    const { words, arena, table, mask } = this;
    let slot = hashOf(from, 0, words) & mask;
    for (;;) {
      const id = table[slot] as number;
      if (id < 0) break;
      if (isSame(arena, id * words, from, words)) return id;
      slot = (slot + 1) & mask;
    }
    const id = this.size++;
    table[slot] = id;
    if ((id + 1) * words > arena.length) this.growArena();
    for (let at = 0; at < words; at++) this.arena[id * words + at] = from[at] as number;
    if (this.size * 2 > table.length) this.growTable();
    return id;
  }

  /** The number of a state, -1 when it was never found. */
  find(from: Int32Array): number {
    const { words, arena, table, mask } = this;
    let slot = hashOf(from, 0, words) & mask;
    for (;;) {
      const id = table[slot] as number;
      if (id < 0 || isSame(arena, id * words, from, words)) return id;
      slot = (slot + 1) & mask;
    }
  }

  private growArena(): void {
    const larger = new Int32Array(Math.ceil((this.arena.length * 3) / 2 / this.words) * this.words);
    larger.set(this.arena);
    this.arena = larger;
  }

  private growTable(): void {
    const { words, arena } = this;
    const table = new Int32Array(this.table.length * 2).fill(-1);
    const mask = table.length - 1;
    for (let id = 0; id < this.size; id++) {
      let slot = hashOf(arena, id * words, words) & mask;
      while ((table[slot] as number) >= 0) slot = (slot + 1) & mask;
      table[slot] = id;
    }
    this.table = table;
    this.mask = mask;
  }
}

function isSame(arena: Int32Array, at: number, from: Int32Array, words: number): boolean {
  for (let each = 0; each < words; each++) if (arena[at + each] !== from[each]) return false;
  return true;
}

/** Mixes the words as the finalizer of MurmurHash3 does (Appleby, public domain): good low bits. */
function hashOf(from: Int32Array, at: number, words: number): number {
  let hash = 0;
  for (let each = 0; each < words; each++) {
    hash = Math.imul(hash ^ (from[at + each] as number), 0x85ebca6b);
    hash ^= hash >>> 13;
    hash = Math.imul(hash, 0xc2b2ae35);
    hash ^= hash >>> 16;
  }
  return hash >>> 0;
}
