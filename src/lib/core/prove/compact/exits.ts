/**
 * What stands against an end of the job and what a lapse ends, asked of a row: the engine's `exits.ts` and
 * `lapses.ts` over numbers.
 */
import type { Lapse } from '../../checklist/model.ts';
import { LONG_ABSENCE_MINUTES, type PlanStep } from '../../job/plan.ts';
import { CLOSED, FRESH, OPEN, UNCHECKED } from '../../job/state.ts';
import { RowActs } from './acts.ts';
import { isAnyCut, isAnyEndOpen, isAnyLocked } from './gates.ts';
import { SURE } from './layout.ts';

export class RowExits extends RowActs {
  /** Put together, unlocked, on, its case tested since. */
  protected isWhole(): boolean {
    const points = this.plan.points.map((point) => point.index);
    if (isAnyEndOpen(this, 0) || isAnyLocked(this, points) || isAnyCut(this)) return false;
    return this.plan.sources.every(
      (source) =>
        !source.metalCase ||
        (this.at(this.layout.caseLive + source.index) === 0 && this.anyFresh(source.caseSteps)),
    );
  }

  protected isCutEverywhere(): boolean {
    return this.plan.sources.every((source) => this.allPointsOpen(source.index));
  }

  protected isControlled(points: readonly number[]): boolean {
    return points.some((point) => {
      for (let person = 0; person < this.crew; person++) {
        if (this.isOwnSure(point, person) || this.firm(point, person) === SURE) return true;
      }
      return false;
    });
  }

  protected isControlledEverywhere(): boolean {
    return this.plan.sources.every(
      ({ points }) => points.length === 0 || this.isControlled(points),
    );
  }

  protected mayRefuse(): boolean {
    const open = isAnyEndOpen(this, 0);
    return this.plan.sources.every((source) => {
      const touched = source.points.some((at) => this.at(this.layout.points + at) !== CLOSED);
      if (!touched && !(open && source.points.length > 0)) return true;
      if (open && !this.allPointsOpen(source.index)) return false;
      return !touched || this.isControlled(source.points);
    });
  }

  protected mayClose(): boolean {
    return (
      this.frontier() === this.steps.length &&
      this.isWhole() &&
      this.anyFresh(this.plan.ofKind.sign)
    );
  }

  /** The steps whose facts a lapse ends. */
  protected endedBy(what: Lapse, source: number, minutes: number, timed: number): number[] {
    const ended: number[] = [];
    for (const step of this.steps) {
      const read = what === 'instrumentDoubt' && (this.at(step.index) & UNCHECKED) !== 0;
      if (!read && !this.stands(step)) continue;
      if (step.unless.includes(what) || this.isStanding(step, what, source, minutes, timed)) {
        ended.push(step.index);
      }
    }
    return ended;
  }

  protected stands(step: PlanStep): boolean {
    const { points, holders } = this.layout;
    switch (step.do) {
      case 'isolate': {
        const exclusive = this.plan.points[step.point]?.control === 'exclusive';
        const held = !exclusive || this.at(holders + step.point) !== 0;
        return this.at(points + step.point) === OPEN && held;
      }
      case 'lock':
        for (let person = 0; person < this.crew; person++) {
          if (this.isOwnSure(step.point, person)) return true;
        }
        return false;
      case 'wear':
        for (let person = 0; person < this.crew; person++) {
          if (this.isHere(person) && this.isFresh(step, person)) return true;
        }
        return false;
      default:
        return (this.at(step.index) & FRESH) !== 0;
    }
  }

  protected isStanding(
    step: PlanStep,
    what: Lapse,
    source: number,
    minutes: number,
    timed: number,
  ): boolean {
    const own = this.plan.sources[step.source];
    const proof = step.do === 'prove' && (own?.electrical ?? false);
    switch (what) {
      case 'time':
        return timed < 0 ? step.keepsMs > 0 : step.index === timed;
      case 'leftSight': {
        if (proof) return true;
        const release = own?.source.release;
        const cool = step.do === 'release' && release !== undefined && 'cool' in release;
        if (minutes >= LONG_ABSENCE_MINUTES && (step.do === 'tell' || cool)) return true;
        return (
          step.do === 'isolate' &&
          this.plan.points[step.point]?.control === 'exclusive' &&
          !this.isLockedAt(step.point) &&
          this.at(this.layout.holders + step.point) !== 0
        );
      }
      case 'panelTouched':
        return proof;
      case 'moved':
        return step.do === 'open' && this.plan.ends[step.end]?.kind === 'prop';
      case 'instrumentDoubt':
        return (this.at(step.index) & UNCHECKED) !== 0;
      case 'reEnergized': {
        if (step.source < 0) return step.do === 'clear';
        if (step.source === source) {
          return ['isolate', 'lock', 'prove', 'case', 'release'].includes(step.do);
        }
        const stored = own?.source.release !== undefined && 'discharge' in own.source.release;
        return step.do === 'release' && stored && (own?.fedBy.includes(source) ?? false);
      }
      default:
        return false;
    }
  }
}
