/** What each event does to a form, as the engine's `evolve-step.ts` and `evolve-people.ts` have it. */
import type { PlanPoint, PlanSource, PlanStep } from '../../job/plan.ts';
import { closesOf } from '../../job/undoing.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import {
  askAgain,
  askEndAgain,
  closePoint,
  end,
  endClear,
  endEnergyFacts,
  endNamed,
  endWatch,
  letGo,
  reset,
  setPoint,
  settleInstrument,
  takeOff,
  undress,
} from './endings.ts';
import type { Form } from './form.ts';
import { leastOf } from './variables.ts';

export function join(form: Form, person: number): void {
  endNamed(form, 'joined');
  endClear(form);
  end(form, form.plan.ofKind.tell);
  form.put(form.of.here[person], YES);
  form.put(form.of.known[person], YES);
  undress(form, person, YES);
}

export function leave(form: Form, person: number): void {
  const { d, of, plan } = form;
  endClear(form);
  const had = plan.points.map((point) => form.own(point.index, person));
  for (const point of plan.points) {
    const source = plan.sources[point.source] as PlanSource;
    const holds = form.at(of.holders[point.index]?.[person]);
    end(form, point.isolateSteps, holds);
    end(form, source.proveSteps, holds);
    form.put(of.holders[point.index]?.[person], NO);
    takeLock(form, point.index, person, YES);
    const bare = d.but(had[point.index] as Diagram, form.lockedAt(point.index));
    end(form, source.proveSteps, bare);
  }
  form.put(of.here[person], NO);
  undress(form, person, YES);
}

function takeLock(form: Form, point: number, person: number, when: Diagram): void {
  form.put(form.of.own[point]?.[person], NO, when);
  form.put(form.of.ownSure[point]?.[person], NO, when);
}

function takeFirm(form: Form, point: number, person: number, when: Diagram): void {
  form.put(form.of.firm[point]?.[person], NO, when);
  form.put(form.of.firmSure[point]?.[person], NO, when);
}

export function handOver(form: Form, from: number, to: number): void {
  const { d, of } = form;
  endNamed(form, 'handedOver');
  endWatch(form);
  for (const { index } of form.plan.points) {
    const given = form.own(index, from);
    const sure = form.ownSure(index, from);
    const goes = d.but(given, form.own(index, to));
    form.put(of.ownSure[index]?.[to], sure, goes);
    form.put(of.own[index]?.[to], YES, goes);
    takeLock(form, index, from, YES);
  }
  form.put(of.here[from], NO);
}

/** Takes off the lock of this person at a point, or the firm's that they left (at every point). */
export function removeLock(form: Form, person: number, at: number | 'firm'): void {
  for (const { index, source } of form.plan.points) {
    if (at !== 'firm' && at !== index) continue;
    const hung = at === 'firm' ? form.firm(index, person) : form.own(index, person);
    end(form, (form.plan.sources[source] as PlanSource).proveSteps, hung);
    if (at === 'firm') takeFirm(form, index, person, YES);
    else takeLock(form, index, person, YES);
  }
  endClear(form);
}

/** The firm's lock in place of the parker's own, and at a cut point of each source that has no lock at all. */
function hangFirm(form: Form, by: number): void {
  const { d, of, plan } = form;
  const hung = plan.points.map((point): Diagram => {
    const own = d.or(form.own(point.index, by), form.firm(point.index, by));
    const source = plan.sources[point.source] as PlanSource;
    const held = d.any(source.points.map((at) => form.lockedAt(at)));
    const before = source.points.slice(0, source.points.indexOf(point.index));
    const first = d.but(
      form.at(of.open[point.index]),
      d.any(before.map((at) => form.at(of.open[at]))),
    );
    return d.or(own, d.but(first, held));
  });
  const ended = plan.points.map((point) =>
    d.or(form.own(point.index, by), form.firm(point.index, by)),
  );
  for (const { index, lockSteps } of plan.points) {
    const when = hung[index] as Diagram;
    takeLock(form, index, by, when);
    form.put(of.firm[index]?.[by], YES, when);
    form.put(of.firmSure[index]?.[by], YES, when);
    end(form, lockSteps, ended[index] as Diagram);
  }
}

export function park(form: Form, as: 'usable' | 'shut', by: number, lock: boolean): void {
  endNamed(form, 'parked');
  endWatch(form);
  if (lock) hangFirm(form, by);
  stand(form, as === 'usable' ? form.of.parkedUsable : form.of.parkedShut);
  for (const place of form.of.here) form.put(place, NO);
}

/** Puts the job into one of the standings that are not at work; at work with none. */
function stand(form: Form, place: number | undefined): void {
  const { down, parkedUsable, parkedShut } = form.of;
  for (const each of [down, parkedUsable, parkedShut]) form.put(each, each === place ? YES : NO);
}

export function resume(form: Form, by: number): void {
  endNamed(form, 'resumed');
  endWatch(form);
  stand(form, undefined);
  form.put(form.of.here[by], YES);
}

export function downTools(form: Form): void {
  endWatch(form);
  stand(form, form.of.down);
}

export function openWindow(form: Form, step: PlanStep): void {
  endNamed(form, 'windowOpened');
  for (const at of (form.plan.sources[step.source] as PlanSource).points) {
    closePoint(form, at, 'closed', YES);
  }
  endEnergyFacts(form, step.source, YES);
  endClear(form);
  const { settled, window, fresh } = form.step(step.index);
  form.put(settled, YES);
  form.put(fresh, NO);
  form.put(window, YES);
}

export function closeWindow(form: Form): void {
  for (const at of form.plan.ofKind.window) {
    const { window, fresh } = form.step(at);
    form.put(fresh, YES, form.at(window));
    form.put(window, NO);
  }
}

export function caseReadLive(form: Form, source: number): void {
  end(form, (form.plan.sources[source] as PlanSource).caseSteps);
  form.put(form.of.caseLive[source], YES);
}

function askDependents(form: Form, chosen: PlanStep, when: Diagram): void {
  const { d } = form;
  for (const at of chosen.dependents) {
    const out = d.and(when, form.at(form.step(at).ruledOut));
    if (out === NO) continue;
    reset(form, at, out);
    const step = form.plan.steps[at] as PlanStep;
    for (const close of closesOf(form.plan, step)) {
      reset(form, close, d.and(out, form.at(form.step(close).notDone)));
    }
    askDependents(form, step, out);
  }
}

export function correct(form: Form, step: PlanStep): void {
  reset(form, step.index);
  if (step.do === 'choose') askDependents(form, step, YES);
  if (step.step.do === 'confirm' && step.step.counts === 'sources') form.put(form.of.counted, NO);
  if (step.do === 'close') form.put(form.of.ends[step.end], YES);
  if (step.do === 'wear') takeOff(form, step, YES);
  if (step.do !== 'sign') endClear(form);
}

export interface Act {
  readonly step: PlanStep;
  readonly by: number;
  /** The first of two hands. */
  readonly first: boolean;
  /** Place of the option of a choice; -1 for none. */
  readonly option: number;
  /** The disconnect step (as a place in their list) whose connector goes back on. */
  readonly place: number;
}

/** The act itself. */
export function act(form: Form, { step, by, first, option, place }: Act): void {
  const { d, of } = form;
  const sample = of.samples[step.index];
  if (step.exposes.length > 0) endClear(form);
  if (!first && sample?.counted === true) form.put(of.counted, YES);
  const applies = !first || step.do === 'open' || step.do === 'restore';
  const done = applies ? applyKind(form, step, by, place) : YES;
  const whole = first ? NO : done;
  const { settled, part, fresh, unchecked, notDone, ruledOut, hand, said } = form.step(step.index);
  form.put(notDone, NO);
  form.put(ruledOut, NO);
  form.put(part, d.not(whole));
  form.put(settled, YES, whole);
  form.put(fresh, whole);
  form.put(unchecked, sample?.measured === true ? whole : NO);
  hand.forEach((each, person) => form.put(each, first && person === by ? YES : NO));
  said.forEach((each, at) => form.put(each, first && at === option ? YES : NO));
}

function applyKind(form: Form, step: PlanStep, by: number, place: number): Diagram {
  const { of, plan } = form;
  switch (step.do) {
    case 'wear':
      wear(form, step, by);
      return YES;
    case 'isolate':
      isolate(form, step, by);
      return YES;
    case 'lock':
      form.put(of.own[step.point]?.[by], YES);
      form.put(of.ownSure[step.point]?.[by], YES);
      askAgain(form, plan.points[step.point]?.unlockSteps ?? [], YES);
      return YES;
    case 'unlock':
      return unlock(form, step, by);
    case 'restore':
      closePoint(form, step.point, 'closed', YES);
      endEnergyFacts(form, step.source, YES);
      return YES;
    case 'open':
    case 'close':
      moveEnd(form, step);
      return YES;
    case 'disconnect':
      return disconnect(form, step);
    case 'reseat':
      return reseat(form, step, place);
    case 'case':
      form.put(of.caseLive[step.source], NO);
      settleInstrument(form, YES);
      return YES;
    case 'prove':
      settleInstrument(form, YES);
      return YES;
    case 'reading':
      /* In doubt, it is checked on a known source first. */
      if (of.samples[step.index]?.measured === true) settleInstrument(form, form.at(of.doubted));
      return YES;
    default:
      return YES;
  }
}

function wear(form: Form, step: PlanStep, by: number): void {
  form.plan.items.forEach((_, item) => {
    const on = ((step.on >> item) & 1) === 1;
    const off = ((step.off >> item) & 1) === 1;
    if (!on && !off) return;
    /* What is named both ways is off at last, as the engine's masks have it. */
    form.put(form.of.on[by]?.[item], on && !off ? YES : NO);
    form.put(form.of.bare[by]?.[item], off && !on ? YES : NO);
  });
}

function isolate(form: Form, step: PlanStep, by: number): void {
  const { d, of } = form;
  const point = form.plan.points[step.point] as PlanPoint;
  if (point.control === 'exclusive') {
    letGo(form, step.point, YES);
    form.put(of.holders[step.point]?.[by], YES);
  }
  if (point.unlockSteps.length === 0) {
    for (let person = 0; person < form.crew; person++) takeFirm(form, step.point, person, YES);
  }
  const moves = d.not(form.at(of.open[step.point]));
  askAgain(form, point.restoreSteps, moves);
  endClear(form, moves);
  setPoint(form, step.point, 'open', moves);
}

function unlock(form: Form, step: PlanStep, by: number): Diagram {
  takeLock(form, step.point, by, YES);
  for (let person = 0; person < form.crew; person++) takeFirm(form, step.point, person, YES);
  end(form, form.plan.points[step.point]?.lockSteps ?? []);
  end(form, (form.plan.sources[step.source] as PlanSource).proveSteps);
  return form.d.not(form.lockedAt(step.point));
}

function moveEnd(form: Form, step: PlanStep): void {
  const { plan } = form;
  const of = (kind: 'open' | 'close') =>
    plan.ofKind[kind].filter((at) => plan.steps[at]?.end === step.end);
  form.put(form.of.ends[step.end], step.do === 'open' ? YES : NO);
  if (step.do === 'open') {
    askEndAgain(form, step, of('open'), of('close'));
    endClear(form);
  } else {
    end(form, of('open'));
    askEndAgain(form, step, of('close'), of('open'));
  }
}

/** How many of a step's connectors are off or back: diagrams for at least 1, at least 2, … */
function ownCount(form: Form, place: number): Diagram[] {
  const { d } = form;
  const off = (form.of.off[place] ?? []).map((each) => form.at(each));
  const back = (form.of.back[place] ?? []).map((each) => form.at(each));
  return off.map((_, most) =>
    d.any(
      Array.from({ length: most + 2 }, (__, n) =>
        d.and(
          n === 0 ? YES : (off[n - 1] as Diagram),
          n > most ? YES : (back[most - n] as Diagram),
        ),
      ),
    ),
  );
}

/** When another connector comes off anew, and when one that is back comes off again. */
export function connectorsNext(form: Form, step: PlanStep): { anew: Diagram; again: Diagram } {
  const { d } = form;
  const place = form.plan.ofKind.disconnect.indexOf(step.index);
  const full = ownCount(form, place).at(-1) ?? NO;
  return { anew: d.not(full), again: d.and(full, form.at(form.of.back[place]?.[0])) };
}

/** Missing ones come off anew, or the last one that was back. */
function disconnect(form: Form, step: PlanStep): Diagram {
  const { d, of } = form;
  const place = form.plan.ofKind.disconnect.indexOf(step.index);
  const least = leastOf(step);
  const { anew } = connectorsNext(form, step);
  const [off, back] = [of.off[place] ?? [], of.back[place] ?? []];
  const before = off.map((each) => form.at(each));
  const backBefore = back.map((each) => form.at(each));
  const own = ownCount(form, place);
  off.forEach((each, most) => {
    /* Up to the least number all come off at once, after that one by one. */
    const more = most === 0 ? YES : (before[most - 1] as Diagram);
    const filled = filledUp(d, before, own, least, most);
    const value = d.choose(own[least - 1] as Diagram, more, filled);
    form.put(each, value);
  });
  back.forEach((each, most) => {
    const fewer = (backBefore[most + 1] ?? NO) as Diagram;
    form.put(each, d.choose(anew, backBefore[most] as Diagram, fewer));
  });
  endClear(form);
  return ownCount(form, place)[least - 1] ?? YES;
}

/** At least `most + 1` off after `least - own` more came off. */
function filledUp(
  d: Form['d'],
  before: readonly Diagram[],
  own: readonly Diagram[],
  least: number,
  most: number,
): Diagram {
  let value: Diagram = NO;
  for (let had = 0; had < least; had++) {
    const atLeast = had === 0 ? YES : (own[had - 1] as Diagram);
    const exactly = d.but(atLeast, own[had] as Diagram);
    const wanted = most + 1 - (least - had);
    const enough = wanted <= 0 ? YES : ((before[wanted - 1] ?? NO) as Diagram);
    value = d.or(value, d.and(exactly, enough));
  }
  return value;
}

/** One connector of a disconnect step (its place in their list) goes back on. */
function reseat(form: Form, step: PlanStep, place: number): Diagram {
  const [off, back] = [form.of.off[place] ?? [], form.of.back[place] ?? []];
  const offBefore = off.map((each) => form.at(each));
  const backBefore = back.map((each) => form.at(each));
  off.forEach((each, most) => form.put(each, (offBefore[most + 1] ?? NO) as Diagram));
  back.forEach((each, most) =>
    form.put(each, most === 0 ? YES : (backBefore[most - 1] as Diagram)),
  );
  return form.d.not(form.offAbove(step.index));
}
