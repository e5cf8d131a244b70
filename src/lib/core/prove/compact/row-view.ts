/** What the engine asks of a state, asked of a row: the same questions, over numbers. */
import { UNDOING } from '../../job/undoing.ts';
import { askers, wantersOf } from '../../job/wanted.ts';
import type { Plan, PlanSource, PlanStep } from '../../job/plan.ts';
import { CLOSED, FRESH, NOT_APPLICABLE, NOT_DONE, OPEN, PART, SETTLED } from '../../job/state.ts';
import { HERE, SURE, type Layout } from './layout.ts';

const TAKEN = SETTLED | NOT_DONE | NOT_APPLICABLE;

/** A row and the questions about it. `row` is replaced for each state that is asked about. */
export class RowView {
  row: Int32Array;
  readonly layout: Layout;
  readonly plan: Plan;
  readonly steps: readonly PlanStep[];
  readonly crew: number;
  /** By reseat step: the disconnect steps (as places in their list) above it. */
  private readonly above: readonly (readonly number[] | undefined)[];
  private readonly askers: readonly (readonly number[])[];
  /** By source: the steps that expose to it, or prove it dead. */
  private readonly wanting: readonly (readonly number[])[];
  private readonly asking: Uint8Array;

  constructor(layout: Layout) {
    const { plan } = layout;
    this.layout = layout;
    this.plan = plan;
    this.steps = plan.steps;
    this.crew = layout.people.length;
    this.row = new Int32Array(layout.length);
    this.above = plan.steps.map((step) =>
      step.do === 'reseat'
        ? plan.ofKind.disconnect.flatMap((at, place) => (at < step.index ? [place] : []))
        : undefined,
    );
    this.askers = plan.steps.map((step) => askers(plan, step.index));
    this.wanting = plan.sources.map((source) => wantersOf(plan, source.index));
    this.asking = new Uint8Array(plan.steps.length);
  }

  at(place: number): number {
    return this.row[place] as number;
  }

  isSettled(step: number): boolean {
    const above = this.above[step];
    if (above === undefined) return (this.at(step) & TAKEN) !== 0;
    if ((this.at(step) & NOT_APPLICABLE) !== 0) return true;
    for (const place of above) if (this.at(this.layout.off + place) > 0) return false;
    return true;
  }

  /** Whether anything taken off above this step is off. */
  isOffAbove(step: number): boolean {
    const { disconnect } = this.plan.ofKind;
    for (let place = 0; place < disconnect.length; place++) {
      if ((disconnect[place] as number) < step && this.at(this.layout.off + place) > 0) return true;
    }
    return false;
  }

  isAnythingOff(): boolean {
    const count = this.plan.ofKind.disconnect.length;
    for (let place = 0; place < count; place++) {
      if (this.at(this.layout.off + place) > 0) return true;
    }
    return false;
  }

  frontier(): number {
    const count = this.steps.length;
    for (let at = 0; at < count; at++) if (!this.isSettled(at)) return at;
    return count;
  }

  /** The last step that was taken; -1 for none. */
  lastTaken(): number {
    for (let at = this.steps.length - 1; at >= 0; at--) {
      const left = this.steps[at]?.do === 'close' ? 0 : NOT_DONE;
      if ((this.at(at) & (SETTLED | PART | left)) !== 0) return at;
    }
    return -1;
  }

  /** The last step taken of those behind which nothing is corrected any more; -1 for none. */
  lastUndoing(): number {
    for (let at = this.steps.length - 1; at >= 0; at--) {
      if ((this.at(at) & SETTLED) === 0) continue;
      if (UNDOING.has((this.steps[at] as PlanStep).do)) return at;
    }
    return -1;
  }

  anyFresh(steps: readonly number[]): boolean {
    for (const step of steps) if ((this.at(step) & FRESH) !== 0) return true;
    return false;
  }

  isProven(source: number): boolean {
    return this.anyFresh((this.plan.sources[source] as PlanSource).proveSteps);
  }

  allPointsOpen(source: number): boolean {
    for (const point of (this.plan.sources[source] as PlanSource).points) {
      if (this.at(this.layout.points + point) !== OPEN) return false;
    }
    return true;
  }

  isHere(person: number): boolean {
    return this.at(this.layout.here + person) === HERE;
  }

  presentCount(): number {
    let count = 0;
    for (let person = 0; person < this.crew; person++) if (this.isHere(person)) count++;
    return count;
  }

  /** The lock codes of a person at a point. */
  own(point: number, person: number): number {
    return this.at(this.layout.own + point * this.crew + person);
  }

  firm(point: number, person: number): number {
    return this.at(this.layout.firm + point * this.crew + person);
  }

  isOwnSure(point: number, person: number): boolean {
    return this.own(point, person) === SURE;
  }

  isLockedAt(point: number): boolean {
    for (let person = 0; person < this.crew; person++) {
      if (this.own(point, person) !== 0 || this.firm(point, person) !== 0) return true;
    }
    return false;
  }

  isFresh(step: PlanStep, person: number): boolean {
    if (step.do === 'wear') {
      const [on, off] = [this.at(this.layout.on + person), this.at(this.layout.bare + person)];
      return (on & step.on) === step.on && (off & step.off) === step.off;
    }
    if (step.do === 'lock') return this.hasSureLock(step.point, person);
    return (this.at(step.index) & FRESH) !== 0;
  }

  /** A lock of their own that counts; one left for the firm is none. */
  hasSureLock(point: number, person: number): boolean {
    return this.isOwnSure(point, person);
  }

  isSourceWanted(source: number): boolean {
    for (const step of this.wanting[source] as readonly number[]) {
      if (!this.isSettled(step)) return true;
      const exposes = (this.steps[step] as PlanStep).exposes.includes(source);
      if (exposes && this.isPending(step)) return true;
    }
    return false;
  }

  isWanted(step: PlanStep): boolean {
    if (step.do === 'case' || step.do === 'sign' || step.do === 'choose') return true;
    this.asking[step.index] = 1;
    let wanted = false;
    for (const at of this.askers[step.index] as readonly number[]) {
      if (!this.isPending(at)) continue;
      wanted = true;
      break;
    }
    this.asking[step.index] = 0;
    return wanted;
  }

  private isPending(at: number): boolean {
    if (!this.isSettled(at)) return true;
    if (this.asking[at] === 1) return false;
    const step = this.steps[at] as PlanStep;
    switch (step.do) {
      case 'isolate': {
        const { points, holders } = this.layout;
        const exclusive = this.plan.points[step.point]?.control === 'exclusive';
        const position = this.at(points + step.point);
        if (position === OPEN && (!exclusive || this.at(holders + step.point) !== 0)) return false;
        return position !== CLOSED || this.isSourceWanted(step.source);
      }
      case 'lock':
        return this.isSourceWanted(step.source) && !this.isEveryoneLocked(step.point);
      case 'window':
        return step.allows.some((reading) => !this.isSettled(reading));
      case 'open':
        if (!this.isEndOpen(step.end)) return false;
        return (this.at(at) & FRESH) === 0 && this.isWanted(step);
      default:
        return (this.at(at) & FRESH) === 0 && this.isWanted(step);
    }
  }

  private isEndOpen(end: number): boolean {
    return this.at(this.layout.ends + end) !== 0;
  }

  isDueAgain(step: PlanStep): boolean {
    const mark = this.at(step.index);
    if ((mark & SETTLED) === 0) return false;
    const { points, holders } = this.layout;
    switch (step.do) {
      case 'isolate': {
        if (!this.isSourceWanted(step.source)) return false;
        if (this.at(points + step.point) !== OPEN) return true;
        const exclusive = this.plan.points[step.point]?.control === 'exclusive';
        return exclusive && this.at(holders + step.point) === 0;
      }
      case 'lock':
        return this.isSourceWanted(step.source) && !this.isEveryoneLocked(step.point);
      case 'open':
        return this.isEndOpen(step.end) && (mark & FRESH) === 0 && this.isWanted(step);
      case 'wear':
        return false;
      default:
        return (mark & FRESH) === 0 && this.isWanted(step);
    }
  }

  private isEveryoneLocked(point: number): boolean {
    for (let person = 0; person < this.crew; person++) {
      if (this.isHere(person) && !this.hasSureLock(point, person)) return false;
    }
    return true;
  }

  isDueBefore(step: number): boolean {
    for (let at = 0; at < step; at++) if (this.isDueAgain(this.steps[at] as PlanStep)) return true;
    return false;
  }
}
