/**
 * The standing interlocks as questions: one for each, by the id that the engine gives it. An answer is only
 * yes or no; what covers a step, and which are taken out, is the engine's own table.
 */
import { INTERLOCKS } from '../../job/interlocks.ts';
import type { PlanPoint, PlanSource, PlanStep } from '../../job/plan.ts';
import { NO, YES, type Diagram } from './diagrams.ts';
import type { Form } from './form.ts';

/**
 * When the interlock keeps this step closed to this person: in each of these cases. `waited`: every wait that
 * began is over.
 */
type Check = (
  form: Form,
  step: PlanStep,
  by: number,
  waited: boolean,
) => Diagram | readonly Diagram[];

export function isSecondHand(form: Form, step: PlanStep): Diagram {
  return step.twice ? form.at(form.step(step.index).part) : NO;
}

function mayRepeat(form: Form, step: PlanStep, by: number): Diagram {
  const { d, of } = form;
  const settled = form.settled(step.index);
  const wanted = () => d.or(d.not(settled), form.isWanted(step));
  switch (step.do) {
    case 'isolate': {
      const open = form.at(of.open[step.point]);
      const held = form.isExclusive(step.point) ? form.held(step.point) : YES;
      return d.not(d.and(open, held));
    }
    case 'restore':
      return d.or(form.notClosed(step.point), isSecondHand(form, step));
    case 'lock':
      return d.not(form.ownSure(step.point, by));
    case 'unlock':
      return unlockable(form, step.point, by);
    case 'open':
    case 'close':
    case 'disconnect':
      return YES;
    case 'wear':
      return d.or(d.not(settled), d.but(form.isWanted(step), form.freshFor(step, by)));
    case 'reseat':
      return form.offAbove(step.index);
    case 'window':
      return d.or(
        d.not(form.passed(step.index)),
        d.any(step.allows.map((at) => d.not(form.passed(at)))),
      );
    case 'clear':
      return wanted();
    default: {
      const stale = d.but(form.isWanted(step), form.fresh(step.index));
      const tested = step.do === 'case' || step.do === 'prove';
      return d.any([d.not(settled), stale, tested ? form.at(of.doubted) : NO]);
    }
  }
}

function unlockable(form: Form, point: number, by: number): Diagram {
  return form.d.or(form.own(point, by), form.anyFirm(point));
}

function isTwice(form: Form, step: PlanStep, by: number): Diagram {
  const { d } = form;
  const variables = form.step(step.index);
  const ruledOut = form.at(variables.ruledOut);
  const again = step.do === 'unlock' ? NO : d.not(mayRepeat(form, step, by));
  const mine = d.and(isSecondHand(form, step), form.at(variables.hand[by]));
  return d.any([ruledOut, again, mine]);
}

/** A need that this person lacks; undefined for one that was ruled out. */
export function lacks(form: Form, need: number, by: number): Diagram {
  const { d } = form;
  const met = form.freshFor(form.plan.steps[need] as PlanStep, by);
  return d.not(d.or(form.at(form.step(need).ruledOut), met));
}

function caseUnknown(form: Form): Diagram {
  const { d } = form;
  return d.any(
    form.plan.sources
      .filter((source) => source.metalCase)
      .map((source) => {
        const dead = d.and(form.proven(source.index), form.cut(source.index));
        const known = d.or(dead, form.anyFresh(source.caseSteps));
        return d.or(form.at(form.of.caseLive[source.index]), d.not(known));
      }),
  );
}

function uncontrolled(form: Form, source: PlanSource): Diagram {
  const { d } = form;
  const locked = source.points.filter((at) => !form.isExclusive(at));
  const faults = locked.map((at) => d.not(form.everyoneLocked(at)));
  const many = form.atLeastHere(2);
  for (const at of source.points) {
    if (!form.isExclusive(at)) continue;
    const own = form.everyoneLocked(at);
    const holders = (form.of.holders[at] ?? []).map((place, person) =>
      d.and(form.at(place), form.here(person)),
    );
    faults.push(d.not(d.or(own, d.any(holders))));
    if (locked.length === 0) faults.push(d.but(many, own));
  }
  return d.any(faults);
}

function unproven(form: Form, source: PlanSource): Diagram {
  return source.source.dead === undefined ? NO : form.d.not(form.proven(source.index));
}

function isLive(form: Form, at: number): Diagram[] {
  const { d } = form;
  const source = form.plan.sources[at] as PlanSource;
  const stored = source.source.release !== undefined;
  return [
    d.not(form.cut(at)),
    uncontrolled(form, source),
    stored ? d.not(form.anyFresh(source.releaseSteps)) : NO,
    unproven(form, source),
  ];
}

function propUnsure(form: Form, step: PlanStep): Diagram {
  const { d, plan } = form;
  return d.any(
    plan.ends.map((end, at) => {
      if (end.kind !== 'prop') return NO;
      const steps = plan.ofKind.open.filter((open) => plan.steps[open]?.end === at);
      if (steps.includes(step.index)) return NO;
      return d.but(form.at(form.of.ends[at]), form.anyFresh(steps));
    }),
  );
}

export function anyEndOpen(form: Form, except: number): Diagram {
  const ends = form.of.ends.map((place, end) =>
    ((except >> end) & 1) === 0 ? form.at(place) : NO,
  );
  return form.d.or(form.anythingOff(), form.d.any(ends));
}

export function anyLocked(form: Form, points: readonly number[]): Diagram {
  return form.d.any(points.map((point) => form.lockedAt(point)));
}

export function everyPoint(form: Form): number[] {
  return form.plan.points.map((point) => point.index);
}

export function anyCut(form: Form): Diagram {
  return form.d.any(everyPoint(form).map((point) => form.notClosed(point)));
}

function endWrong(form: Form, step: PlanStep): Diagram {
  const { d, plan } = form;
  const open = form.at(form.of.ends[step.end]);
  if (step.do === 'close') return d.not(open);
  const prop = plan.ends[step.end]?.kind === 'prop';
  const unsure = prop ? d.but(form.isWanted(step), form.fresh(step.index)) : NO;
  return d.but(open, d.or(isSecondHand(form, step), unsure));
}

function restoreEarly(form: Form, step: PlanStep): Diagram {
  const { d, plan } = form;
  const point = plan.points[step.point] as PlanPoint;
  const own = point.isolateSteps.at(-1) ?? -1;
  const later = plan.points.filter(
    (other) => other.source === point.source && (other.isolateSteps.at(-1) ?? -1) > own,
  );
  const closed = d.not(d.or(form.notClosed(step.point), isSecondHand(form, step)));
  return d.or(closed, d.any(later.map((other) => form.notClosed(other.index))));
}

function outsideWindow(form: Form, step: PlanStep): Diagram {
  const { d } = form;
  const others = form.plan.ofKind.window
    .filter((at) => at !== step.within)
    .map((at) => form.at(form.step(at).window));
  const within = step.within < 0 ? YES : form.at(form.step(step.within).window);
  return d.or(d.any(others), d.not(within));
}

function unbriefed(form: Form, step: PlanStep): Diagram {
  const above = form.plan.ofKind.tell.filter((at) => at < step.index);
  return form.d.any(above.map((at) => form.d.but(form.settled(at), form.fresh(at))));
}

function waiting(form: Form, step: PlanStep, waited: boolean): Diagram {
  const source = form.plan.sources[step.source] as PlanSource;
  if (source.waitMs === 0) return NO;
  return waited ? form.d.not(waitBegan(form, step.source)) : YES;
}

/** Every source that feeds this one is cut. Invariant (checked with the variables): each has a point. */
export function waitBegan(form: Form, source: number): Diagram {
  const { fedBy } = form.plan.sources[source] as PlanSource;
  return form.d.all(fedBy.map((feed) => form.cut(feed)));
}

function early(form: Form, step: PlanStep): Diagram {
  const { d } = form;
  const before = d.not(form.passedBefore(step.after));
  if (step.do !== 'open') return before;
  const stands = d.and(form.settled(step.index), form.at(form.of.ends[step.end]));
  return d.but(before, stands);
}

const CHECKS: Readonly<Record<string, Check>> = {
  window: outsideWindow,
  order: early,
  once: isTwice,
  'due-order': (form, step) =>
    form.dueBefore(step.index).map((due) => form.d.and(form.settled(step.index), due)),
  needs: (form, step, by) => step.needs.map((need) => lacks(form, need, by)),
  people: (form, step) => form.d.not(form.atLeastHere(step.people)),
  competence: () => NO /* everybody within the bounds has what the checklist asks for */,
  case: caseUnknown,
  dead: (form, step) => step.exposes.flatMap((source) => isLive(form, source)),
  props: propUnsure,
  wear: (form, step, by) => form.d.not(form.wears(by, step.wearing, step.bare)),
  briefing: unbriefed,
  find: (form, step) =>
    form.d.any(
      (form.plan.points[step.point] as PlanPoint).findSteps.map((find) =>
        form.d.not(form.settled(find)),
      ),
    ),
  'lock-on-cut': (form, step) => form.d.not(form.at(form.of.open[step.point])),
  wait: (form, step, _, waited) => waiting(form, step, waited),
  'prove-cut': (form, step) =>
    form.d.or(
      form.d.not(form.cut(step.source)),
      uncontrolled(form, form.plan.sources[step.source] as PlanSource),
    ),
  counted: (form) =>
    form.plan.ofKind.confirm.some((at) => {
      const data = form.plan.steps[at]?.step;
      return data?.do === 'confirm' && data.counts === 'sources';
    })
      ? form.d.not(form.at(form.of.counted))
      : NO,
  'dead-for-ohms': (form, step) =>
    form.d.any(step.wantsDead.map((at) => unproven(form, form.plan.sources[at] as PlanSource))),
  'part-off': (form, step) =>
    step.step.do === 'contacts' && step.step.inPlace === true
      ? NO
      : form.d.not(form.offAbove(step.index)),
  ends: endWrong,
  'nothing-open': (form, step) => anyEndOpen(form, step.stillOpen),
  'own-lock': (form, step, by) => form.d.not(unlockable(form, step.point, by)),
  'roll-call': (form) => form.d.not(form.anyFresh(form.plan.ofKind.clear)),
  'locks-off': (form, step) =>
    anyLocked(form, (form.plan.sources[step.source] as PlanSource).points),
  'restore-order': restoreEarly,
  'window-from-cut': (form, step) => form.d.not(form.cut(step.source)),
  wet: (_, step) => (step.step.do === 'window' && step.step.wet === true ? YES : NO),
  'left-whole': (form) =>
    form.d.any([anyEndOpen(form, 0), anyLocked(form, everyPoint(form)), anyCut(form)]),
};

export interface Gate {
  readonly id: string;
  /** In which cases it keeps the step closed. */
  readonly closed: readonly Diagram[];
}

/** The gates that cover a step, each with when it is closed. Invariant: every interlock has its question here. */
export function gatesAt(form: Form, step: PlanStep, by: number, waited = false): Gate[] {
  const { plan } = form;
  return INTERLOCKS.filter((lock) => !plan.without.has(lock.id) && lock.covers(step)).map(
    ({ id }) => {
      const check = CHECKS[id];
      if (!check) throw new Error(`The interlock ${id} has no question in the explorer.`);
      const closed = check(form, step, by, waited);
      return {
        id,
        closed: (typeof closed === 'number' ? [closed] : closed).filter((each) => each !== NO),
      };
    },
  );
}

/** What bars the step to this person who is here: it is open where none of these holds. */
export function barsOf(form: Form, step: PlanStep, by: number, waited = false): Diagram[] {
  return gatesAt(form, step, by, waited).flatMap((gate) => gate.closed);
}
