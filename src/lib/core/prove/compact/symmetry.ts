/**
 * People are alike: each holds the competence that the checklist asks for, and no gate knows a name. So of
 * all the rows that differ only in who is who, one stands for all: the one whose people are in order.
 */
import type { Layout } from './layout.ts';

/** Puts the people of a row in order, in place. */
export class Symmetry {
  private readonly layout: Layout;
  private readonly crew: number;
  private readonly points: number;
  private readonly hands: readonly number[];

  constructor(layout: Layout) {
    this.layout = layout;
    this.crew = layout.people.length;
    this.points = layout.plan.points.length;
    this.hands = [...layout.hands.values()];
  }

  settle(row: Int32Array): void {
    for (let at = 1; at < this.crew; at++) {
      for (let low = at; low > 0 && this.isLess(row, low, low - 1); low--) this.swap(row, low);
    }
  }

  /** Whether this person comes before that one: by everything that a row says of a person. */
  private isLess(row: Int32Array, one: number, other: number): boolean {
    const { here, on, bare, own, firm, holders } = this.layout;
    const { crew } = this;
    for (const place of [here, on, bare]) {
      const difference = (row[place + one] as number) - (row[place + other] as number);
      if (difference !== 0) return difference > 0; /* whoever is here comes first */
    }
    for (let point = 0; point < this.points; point++) {
      const held = row[holders + point] as number;
      const differences = [
        (row[own + point * crew + one] as number) - (row[own + point * crew + other] as number),
        (row[firm + point * crew + one] as number) - (row[firm + point * crew + other] as number),
        held === one + 1 ? 1 : held === other + 1 ? -1 : 0,
      ];
      for (const difference of differences) if (difference !== 0) return difference > 0;
    }
    for (const hand of this.hands) {
      const first = row[hand] as number;
      if (first === one + 1) return true;
      if (first === other + 1) return false;
    }
    return false;
  }

  /** Exchanges a person and the one before. */
  private swap(row: Int32Array, person: number): void {
    const { here, on, bare, own, firm, holders } = this.layout;
    const { crew } = this;
    const exchange = (place: number) => {
      const kept = row[place] as number;
      row[place] = row[place - 1] as number;
      row[place - 1] = kept;
    };
    for (const place of [here, on, bare]) exchange(place + person);
    for (let point = 0; point < this.points; point++) {
      exchange(own + point * crew + person);
      exchange(firm + point * crew + person);
      this.rename(row, holders + point, person);
    }
    for (const hand of this.hands) this.rename(row, hand, person);
  }

  private rename(row: Int32Array, place: number, person: number): void {
    const named = row[place] as number;
    if (named === person + 1) row[place] = person;
    else if (named === person) row[place] = person + 1;
  }
}
