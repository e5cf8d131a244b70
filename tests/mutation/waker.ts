/** Wakes one change at a time in the texts of `places.ts`, and notes which would have made a difference. */

/** Thrown into a test whose changed code goes round for ever. */
export class Endless extends Error {}

const NONE = Symbol('no case');

export class Waker {
  /** The number of the change that is awake; -1 when none is. */
  on = -1;
  /** Changes that would have given another value than the one asked, since this was emptied. */
  seen = new Set<number>();
  notes = true;
  asked = 0;
  /** After so many questions a test is taken to go round for ever. */
  most = Infinity;

  /** A condition: `at` forces yes, the next number forces no, the one after turns it round. */
  b(at: number, value: unknown): unknown {
    this.#count();
    if (this.notes) {
      this.seen.add(value ? at + 1 : at);
      this.seen.add(at + 2);
    }
    const which = this.on - at;
    if (which < 0 || which > 2) return value;
    return which === 2 ? !value : which === 0;
  }

  /** A bound, which differs on the bound itself only. */
  c(at: number, sign: string, left: number, right: number): boolean {
    this.#count();
    if (this.notes && left === right) this.seen.add(at);
    const woken = this.on === at;
    if (sign === '<') return woken ? left <= right : left < right;
    if (sign === '<=') return woken ? left < right : left <= right;
    if (sign === '>') return woken ? left >= right : left > right;
    return woken ? left > right : left >= right;
  }

  /** A case of a choice. */
  k(at: number, value: unknown): unknown {
    this.#count();
    if (this.notes) this.seen.add(at);
    return this.on === at ? NONE : value;
  }

  /** A member of a list of rules. */
  e<T>(at: number, member: T): readonly T[] {
    if (this.notes) this.seen.add(at);
    return this.on === at ? [] : [member];
  }

  #count(): void {
    this.asked += 1;
    if (this.asked > this.most) throw new Endless('goes round for ever');
  }
}
