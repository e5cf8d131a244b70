/** The moves that are about one step: it is done, left out, put right, or shows a danger. */
import type { StepKind } from '../../checklist/model.ts';
import type { PlanStep } from '../../job/plan.ts';
import { closesOf, takesBack } from '../../job/undoing.ts';
import { label } from '../compact/label.ts';
import * as acts from './acts.ts';
import { NO, YES, type Diagram, type Diagrams } from './diagrams.ts';
import {
  changedOf,
  doubtInstrument,
  endNamed,
  leaveOut,
  Serving,
  sourceUnknown,
} from './endings.ts';
import { Form } from './form.ts';
import { barsOf, waitBegan } from './gates.ts';
import type { Happening } from './happenings.ts';
import type { Guard, Move } from './move.ts';
import type { Variables } from './variables.ts';

const NOT_CORRECTED: ReadonlySet<StepKind> = new Set<StepKind>([
  'open',
  'disconnect',
  'reseat',
  'restore',
  'isolate',
  'window',
  'clear',
  'lock',
  'unlock',
]);
export class StepMoves {
  readonly list: Move[] = [];
  /** The state that every move starts from: each variable itself. */
  readonly from: Form;
  protected readonly d: Diagrams;
  protected readonly of: Variables;
  protected readonly serving: Serving;
  protected readonly atWork: Diagram;
  protected readonly isDown: Diagram;
  protected readonly isParked: Diagram;
  protected readonly inWindow: Diagram;

  constructor(d: Diagrams, of: Variables) {
    this.d = d;
    this.of = of;
    const from = new Form(d, of);
    this.from = from;
    this.serving = new Serving(from);
    this.isDown = from.at(of.down);
    this.isParked = d.or(from.at(of.parkedUsable), from.at(of.parkedShut));
    this.atWork = d.not(d.or(this.isDown, this.isParked));
    this.inWindow = d.any(of.plan.ofKind.window.map((at) => from.at(from.step(at).window)));
    for (const step of of.plan.steps) {
      for (let by = 0; by < from.crew; by++) this.stepMoves(step, by);
      this.danger(step);
    }
  }

  protected add(
    move: number,
    by: number,
    guard: Diagram | readonly Guard[],
    happenings: readonly Happening[],
    ...effects: ((form: Form) => void)[]
  ): void {
    const guards = typeof guard === 'number' ? [{ must: [guard], bars: [] }] : guard;
    const open = guards.filter(({ must }) => !must.includes(NO));
    if (open.length === 0) return;
    const to = this.from.copy();
    for (const effect of effects) {
      effect(to);
      this.serving.retire(to, changedOf(this.of, this.from, to));
    }
    this.list.push({ label: move, by, guards: open, to, happenings });
  }

  protected here(by: number): Diagram {
    return this.d.and(this.atWork, this.from.here(by));
  }

  private stepMoves(step: PlanStep, by: number): void {
    const { d, from } = this;
    const here = this.here(by);
    if (step.do === 'window') {
      const guard = { must: [here, d.not(this.inWindow)], bars: barsOf(from, step, by) };
      const opened: Happening = { kind: 'windowOpened', step: step.index, by };
      this.add(label('window', step.index, by, 0), by, [guard], [opened], (form) =>
        acts.openWindow(form, step),
      );
    } else {
      this.doMoves(step, by, 'do', { must: [here], bars: barsOf(from, step, by) });
      if (step.do === 'release' && this.waitMs(step) > 0) {
        const must = [here, this.anyWaitBegan()];
        this.doMoves(step, by, 'waited', { must, bars: barsOf(from, step, by, true) });
      }
    }
    if (step.step.optional === true) this.leaveOutMove(step, by);
    this.correctMove(step, by);
  }

  private waitMs(step: PlanStep): number {
    return this.of.plan.sources[step.source]?.waitMs ?? 0;
  }

  private anyWaitBegan(): Diagram {
    const waiting = this.of.plan.sources.filter((source) => source.waitMs > 0);
    return this.d.any(waiting.map((source) => waitBegan(this.from, source.index)));
  }

  private doMoves(step: PlanStep, by: number, kind: 'do' | 'waited', open: Guard): void {
    const { d, from, of } = this;
    const sample = of.samples[step.index];
    if (sample === undefined || sample.refused) return;
    if (open.bars.includes(YES)) return;
    const and = (more: Diagram): Guard => ({ must: [...open.must, more], bars: open.bars });
    const trusted = sample.wantsMeter ? d.not(from.at(of.doubted)) : YES;
    if (step.do === 'disconnect') {
      const { anew, again } = acts.connectorsNext(from, step);
      const next = d.and(trusted, d.or(anew, again));
      this.doMove(label(kind, step.index, by, 0), and(next), step, by, -1, 0, false);
    } else if (step.do === 'reseat') {
      of.plan.ofKind.disconnect.forEach((_, place) => {
        const off = and(d.and(trusted, from.at(of.off[place]?.[0])));
        this.doMove(label(kind, step.index, by, place), off, step, by, -1, place, false);
      });
    } else {
      const options = step.do === 'choose' ? sample.options : 1;
      for (let option = 0; option < options; option++) {
        const said = step.do === 'choose' ? option : -1;
        this.doMove(
          label(kind, step.index, by, option),
          and(trusted),
          step,
          by,
          said,
          0,
          kind === 'waited',
        );
      }
    }
  }

  /** A step for two hands is a move for each hand; both have the same label, since only one may be made. */
  private doMove(
    move: number,
    guard: Guard,
    step: PlanStep,
    by: number,
    option: number,
    place: number,
    waited: boolean,
  ): void {
    const { d, from } = this;
    const variables = from.step(step.index);
    const second = step.twice ? from.at(variables.part) : YES;
    const and = (more: Diagram): Guard[] => [{ must: [...guard.must, more], bars: guard.bars }];
    if (step.twice) {
      const act = { step, by, first: true, option, place };
      const happening: Happening = { kind: 'act', act, waited };
      this.add(move, by, and(d.not(second)), [happening], (form) => acts.act(form, act));
    }
    const said = step.twice && option >= 0 ? from.at(variables.said[option]) : YES;
    const out = step.do === 'choose' ? this.ruledOut(step, option) : [];
    const act = { step, by, first: false, option, place };
    this.add(
      move,
      by,
      and(d.and(second, said)),
      [{ kind: 'act', act, waited }, ...out.map(leftOut)],
      (form) => acts.act(form, act),
      (form) => {
        for (const [at, applies, when] of out) leaveOut(form, at, applies, when);
      },
    );
  }

  /** Steps that a choice leaves out, each with when. */
  private ruledOut(step: PlanStep, option: number): [number, boolean, Diagram][] {
    const options = step.step.do === 'choose' ? Object.keys(step.step.options) : [];
    const out: [number, boolean, Diagram][] = [];
    this.ruleOut(step, options[option] ?? '', YES, out);
    return out;
  }

  private ruleOut(
    chosen: PlanStep,
    option: string,
    when: Diagram,
    out: [number, boolean, Diagram][],
  ): void {
    const { d, from } = this;
    const own = new Map<number, Diagram>();
    for (const dependent of chosen.dependents) {
      const step = this.of.plan.steps[dependent] as PlanStep;
      const rule = step.when.find((each) => each.step === chosen.index);
      if (rule?.options.includes(option)) continue;
      const now = d.but(when, d.or(from.taken(dependent), own.get(dependent) ?? NO));
      if (now === NO) continue;
      own.set(dependent, d.or(own.get(dependent) ?? NO, now));
      out.push([dependent, false, now]);
      if (step.do === 'choose') this.ruleOut(step, '', now, out);
      this.leaveClosed(step, own, now, out);
    }
  }

  /** What was never opened is never closed. */
  private leaveClosed(
    opening: PlanStep,
    own: ReadonlyMap<number, Diagram>,
    when: Diagram,
    out: [number, boolean, Diagram][],
  ): void {
    const { d, from, of } = this;
    if (opening.do !== 'open') return;
    const { plan } = of;
    const isOut = (at: number): Diagram => {
      if (at === opening.index) return YES;
      const { notDone, ruledOut } = from.step(at);
      return d.any([own.get(at) ?? NO, from.at(notDone), from.at(ruledOut)]);
    };
    const opens = plan.ofKind.open.filter((at) => plan.steps[at]?.end === opening.end);
    const shut = d.but(when, from.at(of.ends[opening.end]));
    for (const at of closesOf(plan, opening)) {
      const earlier = opens.filter((open) => open <= at).map(isOut);
      const now = d.all([shut, d.not(isOut(at)), ...earlier]);
      if (now !== NO) out.push([at, true, now]);
    }
  }

  private leaveOutMove(step: PlanStep, by: number): void {
    const { d, from } = this;
    const others = this.of.plan.ofKind.window
      .filter((at) => at !== step.within)
      .map((at) => from.at(from.step(at).window));
    const done = d.but(from.passed(step.index), from.at(from.step(step.index).part));
    const guard = d.all([
      this.here(by),
      d.not(d.any(others)),
      d.not(done),
      from.passedBefore(step.after),
    ]);
    const out: [number, boolean, Diagram][] = [[step.index, true, YES]];
    this.leaveClosed(step, new Map(), YES, out);
    this.add(label('notDone', step.index, by, 0), by, guard, out.map(leftOut), (form) => {
      for (const [at, applies, when] of out) leaveOut(form, at, applies, when);
    });
  }

  private correctMove(step: PlanStep, by: number): void {
    const { d, from } = this;
    if (NOT_CORRECTED.has(step.do)) return;
    const { plan } = this.of;
    const own = (at: number): Diagram => {
      const { settled, notDone, part } = from.step(at);
      const left = plan.steps[at]?.do === 'close' ? NO : from.at(notDone);
      return d.any([from.at(settled), left, from.at(part)]);
    };
    const { settled, notDone, part } = from.step(step.index);
    const begun = d.any([from.at(settled), from.at(notDone), from.at(part)]);
    const undone = plan.steps
      .filter((later) => takesBack(plan, later, step))
      .map((later) => from.settled(later.index));
    const hangs = step.dependents.map((at) =>
      d.or(from.settled(at), from.at(from.step(at).notDone)),
    );
    /* The last one that was done is of the same phase, and the order has come past it. */
    let last: Diagram = NO;
    let none: Diagram = YES;
    for (let at = plan.steps.length - 1; at >= 0; at--) {
      const here = d.and(none, own(at));
      if (plan.steps[at]?.phase === step.phase) {
        last = d.or(last, d.and(here, from.passedBefore(at)));
      }
      none = d.but(none, here);
    }
    if (step.phase === 0) last = d.or(last, none);
    const guard = d.all([
      this.here(by),
      d.not(this.inWindow),
      begun,
      d.not(d.any(undone)),
      d.not(d.any(hangs)),
      last,
    ]);
    const happening: Happening = { kind: 'corrected', step: step.index, by };
    this.add(label('correct', step.index, by, 0), by, guard, [happening], (form) =>
      acts.correct(form, step),
    );
  }

  private danger(step: PlanStep): void {
    const { from, of } = this;
    if (step.do !== 'case' && step.do !== 'prove') return;
    const open = of.people.map((_, by): Guard => ({
      must: [this.here(by)],
      bars: barsOf(from, step, by),
    }));
    (of.samples[step.index]?.dangers ?? []).forEach((shown, how) => {
      const at = (id: string | undefined) => of.plan.sourceIndex.get(id ?? '') ?? -1;
      const [live, caseLive] = [at(shown.live), at(shown.caseLive)];
      const doubt = shown.doubt !== undefined;
      const happening: Happening = { kind: 'shown', live, caseLive, doubt };
      this.add(label('danger', step.index, 0, how), 0, open, [happening], (form) => {
        if (doubt) endNamed(form, 'instrumentDoubt');
        if (doubt) doubtInstrument(form);
        if (live >= 0) endNamed(form, 'reEnergized');
        if (live >= 0) sourceUnknown(form, live, YES);
        if (caseLive >= 0) acts.caseReadLive(form, caseLive);
      });
    });
  }
}

function leftOut([step, applies, when]: readonly [number, boolean, Diagram]): Happening {
  return { kind: 'leftOut', step, applies, when };
}
