/**
 * How facts end in a form, as the engine's `draft.ts` and `evolve.ts` have it: what ends with a point, a
 * source, a watch or an instrument, and what has served. `when` limits each to the states where it holds.
 */
import type { Lapse } from '../../checklist/model.ts';
import {
  LONG_ABSENCE_MINUTES,
  type PlanPoint,
  type PlanSource,
  type PlanStep,
} from '../../job/plan.ts';
import { askers } from '../../job/wanted.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import type { Form } from './form.ts';
import type { Variables } from './variables.ts';

export function end(form: Form, steps: readonly number[], when: Diagram = YES): void {
  for (const at of steps) {
    form.put(form.step(at).fresh, NO, when);
    form.put(form.step(at).unchecked, NO, when);
  }
}

export function endClear(form: Form, when: Diagram = YES): void {
  end(form, form.plan.ofKind.clear, when);
}

/** A step that is asked anew: nothing of it stands. */
export function reset(form: Form, at: number, when: Diagram = YES): void {
  const { settled, part, notDone, ruledOut, hand, said } = form.step(at);
  for (const place of [settled, part, notDone, ruledOut, ...hand, ...said]) {
    form.put(place, NO, when);
  }
  end(form, [at], when);
}

export function leaveOut(form: Form, at: number, applies: boolean, when: Diagram): void {
  reset(form, at, when);
  form.put(applies ? form.step(at).notDone : form.step(at).ruledOut, YES, when);
}

/** After an act, its inverse further on has to be done (again). */
export function askAgain(form: Form, inverse: readonly number[], when: Diagram): void {
  const { d } = form;
  const last = inverse.at(-1);
  if (last === undefined) return;
  const all = d.all(inverse.map((at) => d.or(form.settled(at), form.at(form.step(at).notDone))));
  reset(form, last, d.and(when, all));
}

/** As the engine's `askedAgain`: of the opposites the last that was taken, where nothing like the act follows it. */
export function askEndAgain(
  form: Form,
  act: PlanStep,
  same: readonly number[],
  opposites: readonly number[],
): void {
  const { d } = form;
  let later: Diagram = NO;
  const asked = [...opposites].reverse().map((at) => {
    const taken =
      act.do === 'open' ? d.or(form.settled(at), form.at(form.step(at).notDone)) : form.settled(at);
    const follows = same.filter((each) => each > at);
    const followed = d.any(follows.map((each) => (each === act.index ? YES : form.settled(each))));
    const when = d.but(d.but(taken, later), followed);
    later = d.or(later, taken);
    return [at, when] as const;
  });
  for (const [at, when] of asked) reset(form, at, when);
}

export function endEnergyFacts(form: Form, source: number, when: Diagram): void {
  const own = form.plan.sources[source] as PlanSource;
  end(form, own.proveSteps, when);
  end(form, own.caseSteps, when);
  for (const each of form.plan.sources) {
    const stored = each.source.release !== undefined && 'discharge' in each.source.release;
    if (each.index === source || (stored && each.fedBy.includes(source))) {
      end(form, each.releaseSteps, when);
    }
  }
}

export function setPoint(
  form: Form,
  point: number,
  position: 'closed' | 'open' | 'unknown',
  when: Diagram,
): void {
  form.put(form.of.open[point], position === 'open' ? YES : NO, when);
  form.put(form.of.unknown[point], position === 'unknown' ? YES : NO, when);
}

export function letGo(form: Form, point: number, when: Diagram): void {
  for (const place of form.of.holders[point] ?? []) form.put(place, NO, when);
}

export function closePoint(
  form: Form,
  point: number,
  position: 'closed' | 'unknown',
  when: Diagram,
): void {
  end(form, (form.plan.points[point] as PlanPoint).isolateSteps, when);
  letGo(form, point, when);
  setPoint(form, point, position, when);
}

function unsure(form: Form, point: number, when: Diagram): void {
  for (const place of form.of.ownSure[point] ?? []) form.put(place, NO, when);
  for (const place of form.of.firmSure[point] ?? []) form.put(place, NO, when);
}

export function sourceUnknown(form: Form, source: number, when: Diagram): void {
  endEnergyFacts(form, source, when);
  endClear(form, when);
  for (const at of (form.plan.sources[source] as PlanSource).points) {
    closePoint(form, at, 'unknown', form.d.and(when, form.notClosed(at)));
    end(form, (form.plan.points[at] as PlanPoint).lockSteps, when);
    unsure(form, at, when);
  }
}

export function takeOff(form: Form, step: PlanStep, when: Diagram): void {
  form.plan.items.forEach((_, item) => {
    for (let person = 0; person < form.crew; person++) {
      if (((step.on >> item) & 1) === 1) form.put(form.of.on[person]?.[item], NO, when);
      if (((step.off >> item) & 1) === 1) form.put(form.of.bare[person]?.[item], NO, when);
    }
  });
}

function endStanding(form: Form, step: PlanStep, when: Diagram): void {
  switch (step.do) {
    case 'isolate': {
      const open = form.at(form.of.open[step.point]);
      end(form, (form.plan.sources[step.source] as PlanSource).proveSteps, when);
      if (form.isExclusive(step.point)) letGo(form, step.point, when);
      else closePoint(form, step.point, 'unknown', form.d.and(when, open));
      return;
    }
    case 'lock':
      return unsure(form, step.point, when);
    case 'wear':
      return takeOff(form, step, when);
    default:
      return;
  }
}

export function endNamed(form: Form, lapse: Lapse): void {
  for (const step of form.plan.steps) {
    if (!step.unless.includes(lapse)) continue;
    end(form, [step.index]);
    endStanding(form, step, YES);
  }
}

export function endWatch(form: Form): void {
  const { prove, tell, clear } = form.plan.ofKind;
  for (const steps of [prove, tell, clear]) end(form, steps);
  for (const point of form.plan.points) {
    end(form, point.isolateSteps, form.held(point.index));
    letGo(form, point.index, YES);
  }
  for (let person = 0; person < form.crew; person++) undress(form, person, YES);
}

export function undress(form: Form, person: number, when: Diagram): void {
  for (const place of form.of.on[person] ?? []) form.put(place, NO, when);
  for (const place of form.of.bare[person] ?? []) form.put(place, NO, when);
}

export function settleInstrument(form: Form, when: Diagram): void {
  for (const step of form.of.steps) form.put(step.unchecked, NO, when);
  form.put(form.of.doubted, NO, when);
}

export function doubtInstrument(form: Form): void {
  for (const step of form.plan.steps) {
    const unchecked = form.at(form.step(step.index).unchecked);
    if (unchecked !== NO) end(form, [step.index], unchecked);
  }
  form.put(form.of.doubted, YES);
}

/** Whether there is anything for a lapse to end. */
function stands(form: Form, step: PlanStep): Diagram {
  const { d } = form;
  switch (step.do) {
    case 'isolate': {
      const held = form.isExclusive(step.point) ? form.held(step.point) : YES;
      return d.and(form.at(form.of.open[step.point]), held);
    }
    case 'lock':
      return d.any((form.of.ownSure[step.point] ?? []).map((place) => form.at(place)));
    case 'wear':
      return d.any(
        form.of.people.map((_, person) => d.and(form.here(person), form.freshFor(step, person))),
      );
    default:
      return form.fresh(step.index);
  }
}

export interface LapseSaid {
  readonly what: Lapse;
  readonly source?: number;
  readonly minutes?: number;
  /** For `time`: the step whose shelf life is over. */
  readonly step?: number;
}

/** Where the standing table ends this step, if it stands. */
function standing(form: Form, step: PlanStep, said: LapseSaid): Diagram {
  const own = form.plan.sources[step.source];
  const yes = (holds: boolean): Diagram => (holds ? YES : NO);
  const proof = step.do === 'prove' && (own?.electrical ?? false);
  const stored = own?.source.release !== undefined && 'discharge' in own.source.release;
  switch (said.what) {
    case 'time':
      return yes(step.index === said.step);
    case 'leftSight': {
      const release = own?.source.release;
      const cool = step.do === 'release' && release !== undefined && 'cool' in release;
      const long = (said.minutes ?? 0) >= LONG_ABSENCE_MINUTES;
      if (proof || (long && (step.do === 'tell' || cool))) return YES;
      if (step.do !== 'isolate' || !form.isExclusive(step.point)) return NO;
      return form.d.but(form.held(step.point), form.lockedAt(step.point));
    }
    case 'panelTouched':
      return yes(proof);
    case 'moved':
      return yes(step.do === 'open' && form.plan.ends[step.end]?.kind === 'prop');
    case 'reEnergized':
      if (step.source < 0) return yes(step.do === 'clear');
      if (step.source === said.source) {
        return yes(['isolate', 'lock', 'prove', 'case', 'release'].includes(step.do));
      }
      return yes(
        step.do === 'release' && stored && (own?.fedBy.includes(said.source ?? -1) ?? false),
      );
    default:
      return NO;
  }
}

/** By step: where the lapse ends its fact. */
export function endedBy(form: Form, said: LapseSaid): Diagram[] {
  const { d, plan } = form;
  return plan.steps.map((step): Diagram => {
    const unchecked = form.at(form.step(step.index).unchecked);
    const read = said.what === 'instrumentDoubt' ? unchecked : NO;
    const named = step.unless.includes(said.what) ? YES : d.or(read, standing(form, step, said));
    return named === NO ? NO : d.and(named, d.or(read, stands(form, step)));
  });
}

export function lapse(form: Form, said: LapseSaid): void {
  const { d, plan } = form;
  const ended = endedBy(form, said);
  for (const step of plan.steps) end(form, [step.index], ended[step.index] as Diagram);
  for (const step of plan.steps) {
    if (ended[step.index] !== NO) endStanding(form, step, ended[step.index] as Diagram);
  }
  if (said.what === 'leftSight') {
    for (const point of plan.points) {
      letGo(form, point.index, d.not(form.lockedAt(point.index)));
    }
  }
  if (said.what === 'reEnergized' && said.source !== undefined) {
    sourceUnknown(form, said.source, YES);
  }
  if (said.what === 'instrumentDoubt') doubtInstrument(form);
}

/** For each step with a fact and each worn item, the variables that say whether anything asks for it. */
export class Serving {
  private readonly from: Form;
  private readonly facts: readonly { step: PlanStep; places: ReadonlySet<number> }[];
  private readonly useful: readonly Diagram[];
  private readonly itemPlaces: ReadonlySet<number>;

  constructor(from: Form) {
    this.from = from;
    const { plan } = from;
    this.facts = plan.steps
      .filter((step) => from.step(step.index).fresh >= 0 && askers(plan, step.index).length > 0)
      .filter((step) => from.isWanted(step) !== YES)
      .map((step) => ({ step, places: placesOf(from, [from.isWanted(step)]) }));
    this.useful = plan.items.map((_, item) => usefulOf(from, item));
    this.itemPlaces = placesOf(from, this.useful);
  }

  /** Facts that nothing ahead asks for any more have served. Before the event none such stood. */
  retire(form: Form, changed: ReadonlySet<number>): void {
    const { d } = form;
    const served: [number, Diagram][] = [];
    for (const { step, places } of this.facts) {
      const { fresh } = form.step(step.index);
      if (form.at(fresh) === NO) continue;
      if (!changed.has(fresh) && !meets(places, changed)) continue;
      const wanted = form.isWanted(step);
      const untouched = !changed.has(fresh) && d.implies(this.from.isWanted(step), wanted);
      if (!untouched) served.push([step.index, d.not(wanted)]);
    }
    const worn = this.servedItems(form, changed);
    for (const [at, when] of served) end(form, [at], when);
    for (const [place, when] of worn) form.put(place, NO, when);
  }

  private servedItems(form: Form, changed: ReadonlySet<number>): [number, Diagram][] {
    const { of, plan, d } = form;
    const places = of.people.flatMap((_, person) => [
      ...(of.on[person] ?? []),
      ...(of.bare[person] ?? []),
    ]);
    if (!meets(this.itemPlaces, changed) && !places.some((place) => changed.has(place))) return [];
    const served: [number, Diagram][] = [];
    plan.items.forEach((_, item) => {
      const useful = usefulOf(form, item);
      for (let person = 0; person < form.crew; person++) {
        for (const table of [of.on, of.bare]) {
          const place = table[person]?.[item] ?? -1;
          if (place < 0) continue;
          const untouched = !changed.has(place) && d.implies(this.useful[item] as Diagram, useful);
          if (!untouched) served.push([place, d.not(useful)]);
        }
      }
    });
    return served;
  }
}

/** A wear step that names the item is asked for. */
function usefulOf(form: Form, item: number): Diagram {
  return form.d.any(
    form.plan.ofKind.wear.flatMap((at) => {
      const wear = form.plan.steps[at] as PlanStep;
      return (((wear.on | wear.off) >> item) & 1) === 1 ? [form.isWanted(wear)] : [];
    }),
  );
}

function placesOf(form: Form, questions: readonly Diagram[]): ReadonlySet<number> {
  return new Set(
    questions.flatMap((each) => [...form.d.support(each)].map((variable) => variable / 2)),
  );
}

function meets(a: ReadonlySet<number>, b: ReadonlySet<number>): boolean {
  for (const each of b) if (a.has(each)) return true;
  return false;
}

/** The variables that a form changed. */
export function changedOf(of: Variables, from: Form, to: Form): Set<number> {
  const changed = new Set<number>();
  for (let place = 0; place < of.count; place++) {
    if (from.bits[place] !== to.bits[place]) changed.add(place);
  }
  return changed;
}
