/**
 * A state written as one diagram for each variable: what the variable is, said of the state before. Where
 * nothing happened yet each variable is itself; an event changes some of them. Every question about a state
 * (`job/state.ts`, `job/wanted.ts`) is asked here of such a form.
 */
import type { Plan, PlanSource, PlanStep } from '../../job/plan.ts';
import { askers, wantersOf } from '../../job/wanted.ts';
import { NO, YES, type Diagram, type Diagrams } from './diagrams.ts';
import { NONE, type StepVariables, type Variables } from './variables.ts';

/** Which steps can be reached from a step through the steps that ask for its fact. */
function reachOf(plan: Plan): readonly ReadonlySet<number>[] {
  return plan.steps.map((step) => {
    const found = new Set<number>();
    const todo = [step.index];
    while (todo.length > 0) {
      const at = todo.pop() as number;
      const { do: does, source } = plan.steps[at] as PlanStep;
      const cut = does === 'isolate' || does === 'lock' ? wantersOf(plan, source) : [];
      for (const next of [...askers(plan, at), ...cut]) {
        if (found.has(next)) continue;
        found.add(next);
        todo.push(next);
      }
    }
    return found;
  });
}

const reaches = new WeakMap<Plan, readonly ReadonlySet<number>[]>();

export class Form {
  readonly d: Diagrams;
  readonly of: Variables;
  readonly plan: Plan;
  readonly crew: number;
  /** By variable. */
  readonly bits: Int32Array;
  private readonly reach: readonly ReadonlySet<number>[];
  private readonly wanted = new Map<string, Diagram>();
  private before: Diagram[] | undefined;
  private due: Diagram[] | undefined;

  constructor(d: Diagrams, of: Variables, bits?: Int32Array) {
    this.d = d;
    this.of = of;
    this.plan = of.plan;
    this.crew = of.people.length;
    this.bits = bits ?? Int32Array.from({ length: of.count }, (_, place) => d.variable(place * 2));
    let reach = reaches.get(of.plan);
    if (!reach) reaches.set(of.plan, (reach = reachOf(of.plan)));
    this.reach = reach;
  }

  /** A form of the same state that may be changed. */
  copy(): Form {
    return new Form(this.d, this.of, this.bits.slice());
  }

  at(place: number | undefined): Diagram {
    return place === undefined || place === NONE ? NO : (this.bits[place] as number);
  }

  /** Sets a variable where `when` holds. Nothing may be asked that is remembered before the last change. */
  put(place: number | undefined, value: Diagram, when: Diagram = YES): void {
    if (place === undefined || place === NONE) return;
    this.bits[place] = this.d.choose(when, value, this.bits[place] as number);
    this.forget();
  }

  /** Answers that are remembered hold until a variable changes or diagrams are collected. */
  forget(): void {
    if (this.wanted.size > 0) this.wanted.clear();
    this.before = undefined;
    this.due = undefined;
  }

  step(at: number): StepVariables {
    return this.of.steps[at] as StepVariables;
  }

  settled(at: number): Diagram {
    return this.at(this.step(at).settled);
  }

  fresh(at: number): Diagram {
    return this.at(this.step(at).fresh);
  }

  anyFresh(steps: readonly number[]): Diagram {
    return this.d.any(steps.map((step) => this.fresh(step)));
  }

  /** Done, left out or ruled out. */
  taken(at: number): Diagram {
    const { settled, notDone, ruledOut } = this.step(at);
    return this.d.any([this.at(settled), this.at(notDone), this.at(ruledOut)]);
  }

  /** Whether anything taken off above this step is off. */
  offAbove(step: number): Diagram {
    const places = this.plan.ofKind.disconnect.flatMap((at, place) => (at < step ? [place] : []));
    return this.d.any(places.map((place) => this.at(this.of.off[place]?.[0])));
  }

  anythingOff(): Diagram {
    return this.offAbove(this.plan.steps.length);
  }

  /** The order may pass over it. */
  passed(at: number): Diagram {
    if (this.plan.steps[at]?.do !== 'reseat') return this.taken(at);
    return this.d.or(this.at(this.step(at).ruledOut), this.d.not(this.offAbove(at)));
  }

  /** The order may pass over every step before this one. */
  passedBefore(at: number): Diagram {
    if (!this.before) {
      let all: Diagram = YES;
      this.before = [all];
      for (const step of this.plan.steps) {
        all = this.d.and(all, this.passed(step.index));
        this.before.push(all);
      }
    }
    return this.before[at] as number;
  }

  proven(source: number): Diagram {
    return this.anyFresh((this.plan.sources[source] as PlanSource).proveSteps);
  }

  cut(source: number): Diagram {
    return this.d.all(
      (this.plan.sources[source] as PlanSource).points.map((at) => this.at(this.of.open[at])),
    );
  }

  /** Open or unknown. */
  notClosed(point: number): Diagram {
    return this.d.or(this.at(this.of.open[point]), this.at(this.of.unknown[point]));
  }

  held(point: number): Diagram {
    return this.d.any((this.of.holders[point] ?? []).map((place) => this.at(place)));
  }

  isExclusive(point: number): boolean {
    return this.plan.points[point]?.control === 'exclusive';
  }

  here(person: number): Diagram {
    return this.at(this.of.here[person]);
  }

  known(person: number): Diagram {
    return person === 0 ? YES : this.at(this.of.known[person]);
  }

  /** Whether at least so many are here. */
  atLeastHere(least: number): Diagram {
    let counts: Diagram[] = [YES];
    for (let person = 0; person < this.crew; person++) {
      const here = this.here(person);
      counts = Array.from({ length: counts.length + 1 }, (_, n) =>
        this.d.choose(here, counts[n - 1] ?? YES, counts[n] ?? NO),
      );
    }
    return counts[least] ?? NO;
  }

  own(point: number, person: number): Diagram {
    return this.at(this.of.own[point]?.[person]);
  }

  ownSure(point: number, person: number): Diagram {
    return this.at(this.of.ownSure[point]?.[person]);
  }

  firm(point: number, person: number): Diagram {
    return this.at(this.of.firm[point]?.[person]);
  }

  anyFirm(point: number): Diagram {
    return this.d.any((this.of.firm[point] ?? []).map((place) => this.at(place)));
  }

  lockedAt(point: number): Diagram {
    const own = (this.of.own[point] ?? []).map((place) => this.at(place));
    return this.d.or(this.anyFirm(point), this.d.any(own));
  }

  /** A sure lock there, of somebody's own or the firm's. */
  sureAt(point: number): Diagram {
    const { ownSure, firmSure } = this.of;
    return this.d.any(
      [...(ownSure[point] ?? []), ...(firmSure[point] ?? [])].map((at) => this.at(at)),
    );
  }

  /** Everybody who is here has a sure lock of their own there. */
  everyoneLocked(point: number): Diagram {
    let all: Diagram = YES;
    for (let person = 0; person < this.crew; person++) {
      const bare = this.d.but(this.here(person), this.ownSure(point, person));
      all = this.d.but(all, bare);
    }
    return all;
  }

  /** The person wears and has off all that these masks name. */
  wears(person: number, on: number, off: number): Diagram {
    const places = (mask: number, table: readonly number[] | undefined) =>
      this.plan.items.flatMap((_, item) =>
        ((mask >> item) & 1) === 1 ? [this.at(table?.[item])] : [],
      );
    return this.d.all([...places(on, this.of.on[person]), ...places(off, this.of.bare[person])]);
  }

  /** The fact of this step holds, for this person where it is a personal one. */
  freshFor(step: PlanStep, person: number): Diagram {
    if (step.do === 'wear') return this.wears(person, step.on, step.off);
    if (step.do === 'lock') return this.ownSure(step.point, person);
    return this.fresh(step.index);
  }

  /** A step that exposes somebody to this source, or proves it, is ahead or has to be done again. */
  sourceWanted(source: number, asking: readonly number[] = []): Diagram {
    const wanters = wantersOf(this.plan, source);
    const met = asking
      .filter((at) => wanters.some((w) => w === at || this.reach[w]?.has(at)))
      .sort((a, b) => a - b);
    const key = `source ${source}:${met.join()}`;
    const known = this.wanted.get(key);
    if (known !== undefined) return known;
    const asked = wanters.map((at) => {
      const step = this.plan.steps[at] as PlanStep;
      return step.exposes.includes(source) ? this.pending(step, met) : this.d.not(this.passed(at));
    });
    const result = this.d.any(asked);
    this.wanted.set(key, result);
    return result;
  }

  /** Something ahead asks for the fact of this step. */
  isWanted(step: PlanStep, asking: readonly number[] = []): Diagram {
    if (step.do === 'case' || step.do === 'sign' || step.do === 'choose') return YES;
    /* Of those on whose behalf it is asked only the ones that may be met again matter. */
    const reach = this.reach[step.index] as ReadonlySet<number>;
    const met = asking.filter((at) => reach.has(at)).sort((a, b) => a - b);
    const key = `${step.index}:${met.join()}`;
    const known = this.wanted.get(key);
    if (known !== undefined) return known;
    const pending = askers(this.plan, step.index).map((at) =>
      this.pending(this.plan.steps[at] as PlanStep, [...met, step.index]),
    );
    const result = this.d.any(pending);
    this.wanted.set(key, result);
    return result;
  }

  private pending(step: PlanStep, asking: readonly number[]): Diagram {
    const passed = this.passed(step.index);
    if (asking.includes(step.index)) return this.d.not(passed);
    const again = this.again(step, asking);
    return this.d.or(this.d.not(passed), again);
  }

  /** Done, and to be done again before something ahead can go on. */
  private again(step: PlanStep, asking: readonly number[]): Diagram {
    const { d } = this;
    switch (step.do) {
      case 'isolate': {
        const open = this.at(this.of.open[step.point]);
        const held = this.isExclusive(step.point) ? this.held(step.point) : YES;
        const doubt = d.or(this.notClosed(step.point), this.sourceWanted(step.source, asking));
        return d.but(doubt, d.and(open, held));
      }
      case 'lock':
        return d.but(this.sourceWanted(step.source, asking), this.everyoneLocked(step.point));
      case 'window':
        return d.any(step.allows.map((at) => d.not(this.passed(at))));
      case 'open':
        return d.all([
          this.at(this.of.ends[step.end]),
          d.not(this.fresh(step.index)),
          this.isWanted(step, asking),
        ]);
      default:
        return d.but(this.isWanted(step, asking), this.fresh(step.index));
    }
  }

  private dueAgain(step: PlanStep): Diagram {
    const { d } = this;
    const settled = this.settled(step.index);
    const stale = () => d.but(this.isWanted(step), this.fresh(step.index));
    switch (step.do) {
      case 'isolate': {
        const open = this.at(this.of.open[step.point]);
        const held = this.isExclusive(step.point) ? this.held(step.point) : YES;
        return d.all([settled, this.sourceWanted(step.source), d.not(d.and(open, held))]);
      }
      case 'lock':
        return d.all([
          settled,
          this.sourceWanted(step.source),
          d.not(this.everyoneLocked(step.point)),
        ]);
      case 'open':
        return d.all([settled, this.at(this.of.ends[step.end]), stale()]);
      case 'wear':
        return NO;
      default:
        return d.and(settled, stale());
    }
  }

  /** Which steps above this one have to be done again before it: a question for each. */
  dueBefore(at: number): readonly Diagram[] {
    this.due ??= this.plan.steps.map((step) => this.dueAgain(step));
    return this.due.slice(0, at).filter((each) => each !== NO);
  }
}
