/**
 * What each event does to a row, as the engine's `evolve` has it: points move, locks come and go, steps are
 * done, left out and put right. `retire` follows each event, as it does in the engine.
 */
import type { Lapse } from '../../checklist/model.ts';
import type { PlanPoint, PlanSource, PlanStep } from '../../job/plan.ts';
import { closesOf } from '../../job/undoing.ts';
import {
  CLOSED,
  FRESH,
  NOT_APPLICABLE,
  NOT_DONE,
  OPEN,
  PART,
  SETTLED,
  UNCHECKED,
} from '../../job/state.ts';
import { RowEndings } from './endings.ts';
import { AWAY, HERE, SURE } from './layout.ts';

export class RowActs extends RowEndings {
  open(): void {
    const { layout } = this;
    this.put(layout.status, 1);
    this.put(layout.here, HERE);
    for (const source of this.plan.sources) {
      this.put(layout.cut + source.index, source.fedBy.length === 0 ? 1 : 0);
    }
  }

  join(person: number): void {
    this.endNamed('joined');
    this.endClear();
    this.end(this.plan.ofKind.tell);
    this.put(this.layout.here + person, HERE);
    this.put(this.layout.on + person, 0);
    this.put(this.layout.bare + person, 0);
  }

  leave(person: number): void {
    const { layout, plan } = this;
    this.endClear();
    for (const point of plan.points) {
      const source = plan.sources[point.source] as PlanSource;
      if (this.at(layout.holders + point.index) === person + 1) {
        this.end(point.isolateSteps);
        this.end(source.proveSteps);
        this.put(layout.holders + point.index, 0);
      }
      if (this.own(point.index, person) === 0) continue;
      this.put(layout.own + point.index * this.crew + person, 0);
      if (!this.isLockedAt(point.index)) this.end(source.proveSteps);
    }
    this.put(layout.here + person, AWAY);
    this.put(layout.on + person, 0);
    this.put(layout.bare + person, 0);
  }

  handOver(from: number, to: number): void {
    const { layout, crew } = this;
    this.endNamed('handedOver');
    this.endWatch();
    for (let point = 0; point < this.plan.points.length; point++) {
      const given = this.own(point, from);
      if (given === 0) continue;
      this.put(layout.own + point * crew + from, 0);
      const has = this.own(point, to) !== 0;
      if (!has) this.put(layout.own + point * crew + to, given);
    }
    this.put(layout.here + from, AWAY);
  }

  /** Takes off the lock of this person at a point, or the firm's that they left (at every point). */
  removeLock(person: number, at: number | 'firm'): void {
    const place = at === 'firm' ? this.layout.firm : this.layout.own;
    for (const point of this.plan.points) {
      if (at !== 'firm' && at !== point.index) continue;
      const lock = place + point.index * this.crew + person;
      if (this.at(lock) === 0) continue;
      this.put(lock, 0);
      this.end((this.plan.sources[point.source] as PlanSource).proveSteps);
    }
    this.endClear();
  }

  park(as: 'usable' | 'shut', by: number, lock: boolean): void {
    const { layout, plan, crew } = this;
    this.endNamed('parked');
    this.endWatch();
    if (lock) {
      const at = new Set<number>();
      const ended: number[] = [];
      for (const point of plan.points) {
        if (this.own(point.index, by) === 0 && this.firm(point.index, by) === 0) continue;
        at.add(point.index);
        ended.push(...point.lockSteps);
      }
      for (const source of plan.sources) {
        const cut = source.points.find((point) => this.at(layout.points + point) === OPEN);
        const held = source.points.some((point) => this.isLockedAt(point));
        if (cut !== undefined && !held) at.add(cut);
      }
      for (const point of at) {
        this.put(layout.own + point * crew + by, 0);
        this.put(layout.firm + point * crew + by, SURE);
      }
      this.end(ended);
    }
    this.put(layout.status, as === 'usable' ? 3 : 4);
    for (let person = 0; person < crew; person++) {
      if (this.isHere(person)) this.put(layout.here + person, AWAY);
    }
  }

  resume(by: number): void {
    this.endNamed('resumed');
    this.endWatch();
    this.put(this.layout.status, 1);
    this.put(this.layout.here + by, HERE);
  }

  downTools(): void {
    this.endWatch();
    this.put(this.layout.status, 2);
  }

  openWindow(step: PlanStep): void {
    this.endNamed('windowOpened');
    for (const at of (this.plan.sources[step.source] as PlanSource).points) {
      this.closePoint(at, CLOSED);
    }
    this.endEnergyFacts(step.source);
    this.endClear();
    this.put(step.index, SETTLED | PART);
    this.put(this.layout.window, step.index + 1);
  }

  closeWindow(): void {
    const window = this.at(this.layout.window) - 1;
    if (window < 0) return;
    this.put(window, SETTLED | FRESH);
    this.put(this.layout.window, 0);
  }

  /** A lapse that ends these steps. */
  lapse(what: Lapse, steps: readonly number[], source: number): void {
    const { layout } = this;
    this.end(steps);
    for (const at of steps) this.endStanding(this.steps[at] as PlanStep);
    if (what === 'leftSight') {
      for (let point = 0; point < this.plan.points.length; point++) {
        if (!this.isLockedAt(point)) this.put(layout.holders + point, 0);
      }
    }
    if (what === 'reEnergized' && source >= 0) this.sourceUnknown(source);
    if (what === 'instrumentDoubt') this.doubtInstrument();
  }

  /** What a measurement showed ends what the list names as well, as the lapse of that name does. */
  readLive(source: number): void {
    this.endNamed('reEnergized');
    this.sourceUnknown(source);
  }

  readDoubtful(): void {
    this.endNamed('instrumentDoubt');
    this.doubtInstrument();
  }

  caseReadLive(source: number): void {
    this.end((this.plan.sources[source] as PlanSource).caseSteps);
    this.put(this.layout.caseLive + source, 1);
  }

  notDone(step: number, applies: boolean): void {
    this.reset(step, applies ? NOT_DONE : NOT_APPLICABLE);
  }

  private askDependents(chosen: PlanStep): void {
    for (const dependent of chosen.dependents) {
      if ((this.at(dependent) & NOT_APPLICABLE) === 0) continue;
      this.reset(dependent, 0);
      const step = this.steps[dependent] as PlanStep;
      for (const at of closesOf(this.plan, step)) {
        if ((this.at(at) & NOT_DONE) !== 0) this.reset(at, 0);
      }
      this.askDependents(step);
    }
  }

  correct(step: PlanStep): void {
    this.reset(step.index, 0);
    if (step.do === 'choose') this.askDependents(step);
    if (step.step.do === 'confirm' && step.step.counts === 'sources') {
      this.put(this.layout.counted, 0);
    }
    if (step.do === 'close') this.put(this.layout.ends + step.end, 1);
    if (step.do === 'wear') this.takeOff(step);
    if (step.do !== 'sign') this.endClear();
  }

  /**
   * The act itself. `first`: the first of two hands; `option`: what a choice said (index + 1);
   * `measured`: read with a meter that is not checked afterwards; `counted`: the sources were counted;
   * `place`: the disconnect step whose connector goes back on.
   */
  do(
    step: PlanStep,
    by: number,
    how: { first: boolean; option: number; measured: boolean; counted: boolean; place: number },
  ): void {
    if (step.exposes.length > 0) this.endClear();
    if (!how.first && how.counted) this.put(this.layout.counted, 1);
    let done = true;
    if (!how.first || step.do === 'open' || step.do === 'restore')
      done = this.applyKind(step, by, how.place);
    const settled = this.at(step.index) & SETTLED;
    const whole = done && !how.first;
    const mark = how.measured ? SETTLED | FRESH | UNCHECKED : SETTLED | FRESH;
    this.put(step.index, whole ? mark : settled | PART);
    const hand = this.layout.hands.get(step.index);
    if (hand === undefined) return;
    this.put(hand, whole ? 0 : by + 1);
    this.put(hand + 1, whole ? 0 : how.option);
  }

  private applyKind(step: PlanStep, by: number, place: number): boolean {
    const { layout, plan } = this;
    switch (step.do) {
      case 'wear':
        this.put(layout.on + by, (this.at(layout.on + by) | step.on) & ~step.off);
        this.put(layout.bare + by, (this.at(layout.bare + by) | step.off) & ~step.on);
        return true;
      case 'isolate': {
        const point = plan.points[step.point] as PlanPoint;
        if (point.control === 'exclusive') this.put(layout.holders + step.point, by + 1);
        if (point.unlockSteps.length === 0) {
          for (let person = 0; person < this.crew; person++) {
            this.put(layout.firm + step.point * this.crew + person, 0);
          }
        }
        if (this.at(layout.points + step.point) !== OPEN) {
          this.askAgain(point.restoreSteps);
          this.endClear();
          this.setPoint(step.point, OPEN);
        }
        return true;
      }
      case 'lock':
        this.put(layout.own + step.point * this.crew + by, SURE);
        this.askAgain(plan.points[step.point]?.unlockSteps ?? []);
        return true;
      case 'unlock':
        return this.unlock(step, by);
      case 'restore':
        this.closePoint(step.point, CLOSED);
        this.endEnergyFacts(step.source);
        return true;
      case 'open':
      case 'close':
        this.moveEnd(step);
        return true;
      case 'disconnect':
        return this.disconnect(step);
      case 'reseat':
        return this.reseat(step, place);
      case 'case':
        this.put(layout.caseLive + step.source, 0);
        this.settleInstrument();
        return true;
      case 'prove':
        this.settleInstrument();
        return true;
      case 'reading':
        /* In doubt, it is checked on a known source first. */
        if (this.at(layout.doubted) !== 0) this.settleInstrument();
        return true;
      default:
        return true;
    }
  }

  private unlock(step: PlanStep, by: number): boolean {
    const { layout, plan, crew } = this;
    this.put(layout.own + step.point * crew + by, 0);
    for (let person = 0; person < crew; person++) {
      this.put(layout.firm + step.point * crew + person, 0);
    }
    this.end(plan.points[step.point]?.lockSteps ?? []);
    this.end((plan.sources[step.source] as PlanSource).proveSteps);
    return !this.isLockedAt(step.point);
  }

  private moveEnd(step: PlanStep): void {
    const { plan, layout } = this;
    const of = (kind: 'open' | 'close') =>
      plan.ofKind[kind].filter((at) => plan.steps[at]?.end === step.end);
    this.put(layout.ends + step.end, step.do === 'open' ? 1 : 0);
    if (step.do === 'open') {
      this.askEndAgain(step, of('open'), of('close'));
      this.endClear();
    } else {
      this.end(of('open'));
      this.askEndAgain(step, of('close'), of('open'));
    }
  }

  /** Missing ones come off anew, or the last one that was back. */
  private disconnect(step: PlanStep): boolean {
    const place = this.plan.ofKind.disconnect.indexOf(step.index);
    const [off, back] = [this.layout.off + place, this.layout.back + place];
    const more = this.connectorsNext(step);
    if (more > 0) this.put(off, this.at(off) + more);
    else {
      this.put(off, this.at(off) + 1);
      this.put(back, this.at(back) - 1);
    }
    this.endClear();
    return this.at(off) + this.at(back) >= leastOf(step);
  }

  /** How many new connectors come off next; 0 when one that is back comes off again, -1 when none may. */
  connectorsNext(step: PlanStep): number {
    const place = this.plan.ofKind.disconnect.indexOf(step.index);
    const back = this.at(this.layout.back + place);
    const own = this.at(this.layout.off + place) + back;
    const least = leastOf(step);
    if (own >= Math.max(least, this.connectors)) return back > 0 ? 0 : -1;
    return Math.max(1, least - own);
  }

  /** The most connectors taken off, within the bounds. */
  connectors = 0;

  /** One connector of a disconnect step (its place in their list) goes back on. */
  private reseat(step: PlanStep, place: number): boolean {
    const { off, back } = this.layout;
    this.put(off + place, this.at(off + place) - 1);
    this.put(back + place, this.at(back + place) + 1);
    return !this.isOffAbove(step.index);
  }
}

function leastOf(step: PlanStep): number {
  return step.step.do === 'disconnect' ? (step.step.expect?.least ?? 1) : 1;
}
