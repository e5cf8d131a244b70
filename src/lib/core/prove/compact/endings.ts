/**
 * How facts end on a row, as the engine's `draft.ts` and `evolve.ts` have it: what ends with a point, a
 * source, a watch or an instrument, and what has served. Every method changes `row` in place.
 */
import type { Lapse } from '../../checklist/model.ts';
import type { PlanPoint, PlanSource, PlanStep } from '../../job/plan.ts';
import { CLOSED, FRESH, NOT_DONE, OPEN, SETTLED, UNCHECKED, UNKNOWN } from '../../job/state.ts';
import { askedAgain } from '../../job/undoing.ts';
import { SURE, UNSURE } from './layout.ts';
import { RowView } from './row-view.ts';

const HELD = FRESH | UNCHECKED;

export class RowEndings extends RowView {
  private readonly served: number[] = [];

  protected put(place: number, value: number): void {
    this.row[place] = value;
  }

  end(steps: readonly number[]): void {
    for (const step of steps) this.put(step, this.at(step) & ~HELD);
  }

  endClear(): void {
    this.end(this.plan.ofKind.clear);
  }

  protected askAgain(inverse: readonly number[]): void {
    const settled = inverse.filter((step) => (this.at(step) & (SETTLED | NOT_DONE)) !== 0);
    const last = settled.at(-1);
    if (last !== undefined && settled.length === inverse.length) this.reset(last, 0);
  }

  protected askEndAgain(
    step: PlanStep,
    same: readonly number[],
    opposites: readonly number[],
  ): void {
    const has = (bits: number) => (at: number) => (this.at(at) & bits) !== 0;
    const taken = step.do === 'open' ? SETTLED | NOT_DONE : SETTLED;
    const asked = askedAgain(step.index, same, opposites, has(SETTLED), has(taken));
    if (asked !== undefined) this.reset(asked, 0);
  }

  /** A step that is asked anew, or left out: nobody's first hand stands. */
  protected reset(step: number, mark: number): void {
    this.put(step, mark);
    const hand = this.layout.hands.get(step);
    if (hand === undefined) return;
    this.put(hand, 0);
    this.put(hand + 1, 0);
  }

  protected endEnergyFacts(source: number): void {
    const own = this.plan.sources[source] as PlanSource;
    this.end(own.proveSteps);
    this.end(own.caseSteps);
    for (const each of this.plan.sources) {
      const stored = each.source.release !== undefined && 'discharge' in each.source.release;
      if (each.index === source || (stored && each.fedBy.includes(source))) {
        this.end(each.releaseSteps);
      }
    }
  }

  protected setPoint(point: number, position: number): void {
    this.put(this.layout.points + point, position);
    for (const source of this.plan.sources) {
      const cut = source.fedBy.every((feed) => this.allPointsOpen(feed));
      this.put(this.layout.cut + source.index, cut ? 1 : 0);
    }
  }

  protected closePoint(at: number, position: number): void {
    this.end((this.plan.points[at] as PlanPoint).isolateSteps);
    this.put(this.layout.holders + at, 0);
    this.setPoint(at, position);
  }

  protected unsure(point: number): void {
    for (let person = 0; person < this.crew; person++) {
      const at = point * this.crew + person;
      if (this.own(point, person) === SURE) this.put(this.layout.own + at, UNSURE);
      if (this.firm(point, person) === SURE) this.put(this.layout.firm + at, UNSURE);
    }
  }

  sourceUnknown(source: number): void {
    this.endEnergyFacts(source);
    this.endClear();
    for (const at of (this.plan.sources[source] as PlanSource).points) {
      if (this.at(this.layout.points + at) !== CLOSED) this.closePoint(at, UNKNOWN);
      this.end((this.plan.points[at] as PlanPoint).lockSteps);
      this.unsure(at);
    }
  }

  protected takeOff(step: PlanStep): void {
    const { on, bare } = this.layout;
    for (let person = 0; person < this.crew; person++) {
      this.put(on + person, this.at(on + person) & ~step.on);
      this.put(bare + person, this.at(bare + person) & ~step.off);
    }
  }

  protected endStanding(step: PlanStep): void {
    const { points, holders } = this.layout;
    switch (step.do) {
      case 'isolate': {
        const open = this.at(points + step.point) === OPEN;
        this.end((this.plan.sources[step.source] as PlanSource).proveSteps);
        if (this.plan.points[step.point]?.control === 'exclusive') {
          this.put(holders + step.point, 0);
        } else if (open) this.closePoint(step.point, UNKNOWN);
        return;
      }
      case 'lock':
        return this.unsure(step.point);
      case 'wear':
        return this.takeOff(step);
      default:
        return;
    }
  }

  protected endNamed(lapse: Lapse): void {
    for (const step of this.steps) {
      if (!step.unless.includes(lapse)) continue;
      this.put(step.index, this.at(step.index) & ~HELD);
      this.endStanding(step);
    }
  }

  protected endWatch(): void {
    const { prove, tell, clear } = this.plan.ofKind;
    this.end(prove);
    this.end(tell);
    this.end(clear);
    const { holders, on, bare } = this.layout;
    for (const point of this.plan.points) {
      if (this.at(holders + point.index) !== 0) this.end(point.isolateSteps);
      this.put(holders + point.index, 0);
    }
    for (let person = 0; person < this.crew; person++) {
      this.put(on + person, 0);
      this.put(bare + person, 0);
    }
  }

  protected settleInstrument(): void {
    for (let at = 0; at < this.steps.length; at++) this.put(at, this.at(at) & ~UNCHECKED);
    this.put(this.layout.doubted, 0);
  }

  doubtInstrument(): void {
    for (let at = 0; at < this.steps.length; at++) {
      const mark = this.at(at);
      if ((mark & UNCHECKED) !== 0) this.put(at, mark & ~HELD);
    }
    this.put(this.layout.doubted, 1);
  }

  /** Facts that nothing ahead asks for any more have served. */
  retire(): void {
    const { served, layout } = this;
    served.length = 0;
    for (const step of this.steps) {
      if ((this.at(step.index) & FRESH) !== 0 && !this.isWanted(step)) served.push(step.index);
    }
    let useful = 0;
    for (const at of this.plan.ofKind.wear) {
      const wear = this.steps[at] as PlanStep;
      if (this.isWanted(wear)) useful |= wear.on | wear.off;
    }
    for (const step of served) this.put(step, this.at(step) & ~FRESH);
    for (let person = 0; person < this.crew; person++) {
      this.put(layout.on + person, this.at(layout.on + person) & useful);
      this.put(layout.bare + person, this.at(layout.bare + person) & useful);
    }
  }
}
