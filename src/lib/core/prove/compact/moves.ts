/**
 * Every move out of a row and the row that it leads to: `enabledCommands`, the waits and the dangers of
 * `../moves.ts`, over numbers. A move is one number, its label; `label.ts` gives that of an
 * engine's move too, so that the two can be compared.
 */
import type { Bounds } from '../../job/enabled-commands.ts';
import type { StepKind } from '../../checklist/model.ts';
import { STATED_LAPSES } from '../../job/lapses.ts';
import type { Plan, PlanStep } from '../../job/plan.ts';
import { closesOf, takesBack } from '../../job/undoing.ts';
import { FRESH, NOT_APPLICABLE, NOT_DONE, PART, SETTLED } from '../../job/state.ts';
import type { RowActs } from './acts.ts';
import { RowExits } from './exits.ts';
import { gatesOf, isAnyEndOpen, isBlocked, type Gate } from './gates.ts';
import { kindsWanted, label, type Kind } from './label.ts';
import { layoutOf, UNKNOWN_PERSON } from './layout.ts';
import { samplesOf, type Sample } from './samples.ts';

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
const LONG = 45;
const WANTED = (_move: number): boolean => true;

/** A job under a checklist as rows and moves. */
export class CompactJob extends RowExits {
  private readonly gates: readonly (readonly Gate[])[];
  private readonly samples: readonly Sample[];
  private readonly base: Int32Array;
  private readonly scratch: Int32Array;
  private readonly hasWait: boolean;
  private emit: (move: number) => void = () => undefined;
  private wanted = WANTED;
  private wants: Readonly<Record<Kind, boolean>> = kindsWanted(WANTED);

  constructor(plan: Plan, bounds: Bounds) {
    super(layoutOf(plan, bounds));
    this.connectors = bounds.connectors;
    this.gates = gatesOf(plan);
    this.samples = samplesOf(plan, bounds);
    this.base = new Int32Array(this.layout.length);
    this.scratch = new Int32Array(this.layout.length);
    this.hasWait = plan.ofKind.release.some((at) => this.waitMs(this.steps[at] as PlanStep) > 0);
  }

  private waitMs(step: PlanStep): number {
    return this.plan.sources[step.source]?.waitMs ?? 0;
  }

  /**
   * Calls `emit` for every move out of `from`, with `row` holding where it leads.
   * @param wanted leaves out moves by the kind in their label, whatever else is in it
   */
  movesFrom(
    from: Int32Array,
    emit: (move: number) => void,
    wanted: (move: number) => boolean = WANTED,
  ): void {
    if (wanted !== this.wanted) this.wants = kindsWanted(wanted);
    this.wanted = wanted;
    this.base.set(from);
    this.row = this.base;
    this.emit = emit;
    const status = this.at(this.layout.status);
    if (status === 0) return this.go(label('open', 0, 0, 0), () => this.open());
    if (status > 4) return;
    const parked = status === 3 || status === 4;
    for (let by = 0; by < this.crew; by++) {
      const acts = parked ? this.at(this.layout.here + by) !== UNKNOWN_PERSON : this.isHere(by);
      if (!acts) continue;
      if (status === 1) this.stepMoves(by);
      this.peopleMoves(by, status);
      this.exitMoves(by, status);
    }
    if (this.wants.lapse) this.lapseMoves();
    if (status !== 1) return;
    if (this.hasWait) this.waitMoves();
    if (this.wants.danger) this.dangerMoves();
  }

  /** Each effect is one event; facts that have served are let go after each. */
  private go(move: number, ...effects: (() => void)[]): void {
    if (!this.wanted(move)) return;
    this.scratch.set(this.base);
    this.row = this.scratch;
    for (const effect of effects) {
      effect();
      this.retire();
    }
    this.emit(move);
    this.row = this.base;
  }

  private isOpenTo(step: PlanStep, by: number, waited: boolean): boolean {
    return !isBlocked(this, this.gates[step.index] as readonly Gate[], step, by, waited);
  }

  private stepMoves(by: number): void {
    const frontier = this.frontier();
    const last = this.lastTaken();
    const undone = this.lastUndoing();
    const windows = this.at(this.layout.window) !== 0;
    for (const step of this.steps) {
      if (step.do !== 'window' && this.isOpenTo(step, by, false)) this.doMoves(step, by, 'do');
      if (step.step.optional === true) this.leaveOut(step, by, frontier);
      if (this.wants.correct && this.at(step.index) !== 0 && undone <= step.index)
        this.correctMove(step, by, frontier, last);
    }
    if (windows) {
      this.go(label('endWindow', 0, by, 0), () => this.closeWindow());
      return;
    }
    for (const at of this.plan.ofKind.window) {
      const step = this.steps[at] as PlanStep;
      if (!this.isOpenTo(step, by, false)) continue;
      this.go(label('window', at, by, 0), () => this.openWindow(step));
    }
  }

  private doMoves(step: PlanStep, by: number, kind: 'do' | 'waited'): void {
    const sample = this.samples[step.index] as Sample;
    if (sample.refused) return;
    if (sample.wantsMeter && this.at(this.layout.doubted) !== 0) return;
    if (step.do === 'disconnect' && this.connectorsNext(step) < 0) return;
    const first = step.twice && (this.at(step.index) & PART) === 0;
    const { measured, counted } = sample;
    const go = (extra: number, option: number, place: number) =>
      this.doMove(label(kind, step.index, by, extra), step, by, {
        first,
        option,
        measured,
        counted,
        place,
      });
    if (step.do === 'reseat') {
      for (let place = 0; place < this.plan.ofKind.disconnect.length; place++) {
        if (this.at(this.layout.off + place) > 0) go(place, 0, place);
      }
      return;
    }
    if (step.do !== 'choose') return go(0, 0, 0);
    const said = step.twice && !first ? this.at((this.layout.hands.get(step.index) ?? 0) + 1) : 0;
    for (let option = 0; option < sample.options; option++) {
      if (said === 0 || said === option + 1) go(option, option + 1, 0);
    }
  }

  private doMove(
    move: number,
    step: PlanStep,
    by: number,
    how: Parameters<RowActs['do']>[2],
  ): void {
    const out: [number, boolean][] = [];
    if (step.do === 'choose' && !how.first) {
      const options = step.step.do === 'choose' ? Object.keys(step.step.options) : [];
      this.ruleOut(step, options[how.option - 1] ?? '', out);
    }
    this.go(
      move,
      () => this.do(step, by, how),
      ...out.map(
        ([at, applies]) =>
          () =>
            this.notDone(at, applies),
      ),
    );
  }

  private ruleOut(chosen: PlanStep, option: string, out: [number, boolean][]): void {
    const own = new Set<number>();
    for (const dependent of chosen.dependents) {
      const step = this.steps[dependent] as PlanStep;
      const rule = step.when.find((each) => each.step === chosen.index);
      if (rule?.options.includes(option)) continue;
      const taken = this.at(dependent) & (SETTLED | NOT_DONE | NOT_APPLICABLE);
      if (taken !== 0 || own.has(dependent)) continue;
      own.add(dependent);
      out.push([dependent, false]);
      if (step.do === 'choose') this.ruleOut(step, '', out);
      this.leaveClosed(step, own, out);
    }
  }

  private leaveClosed(opening: PlanStep, own: ReadonlySet<number>, out: [number, boolean][]): void {
    if (opening.do !== 'open' || this.at(this.layout.ends + opening.end) !== 0) return;
    const isOut = (at: number) =>
      at === opening.index || own.has(at) || (this.at(at) & (NOT_DONE | NOT_APPLICABLE)) !== 0;
    const opens = this.plan.ofKind.open.filter((at) => this.steps[at]?.end === opening.end);
    for (const at of closesOf(this.plan, opening)) {
      if (!isOut(at) && opens.every((open) => open > at || isOut(open))) out.push([at, true]);
    }
  }

  private leaveOut(step: PlanStep, by: number, frontier: number): void {
    const window = this.at(this.layout.window) - 1;
    if (window >= 0 && step.within !== window) return;
    if (this.isSettled(step.index) && (this.at(step.index) & PART) === 0) return;
    if (step.after > frontier && frontier !== step.index) return;
    const out: [number, boolean][] = [[step.index, true]];
    this.leaveClosed(step, new Set(), out);
    this.go(
      label('notDone', step.index, by, 0),
      ...out.map(
        ([at, applies]) =>
          () =>
            this.notDone(at, applies),
      ),
    );
  }

  private correctMove(step: PlanStep, by: number, frontier: number, last: number): void {
    if (this.at(this.layout.window) !== 0 || frontier < last) return;
    if ((this.at(step.index) & (SETTLED | NOT_DONE | PART)) === 0) return;
    if (NOT_CORRECTED.has(step.do)) return;
    if (step.phase !== (this.steps[last]?.phase ?? 0)) return;
    for (const at of this.plan.ofKind.open) {
      const later = this.steps[at] as PlanStep;
      if ((this.at(at) & SETTLED) !== 0 && takesBack(this.plan, later, step)) return;
    }
    if (step.dependents.some((at) => (this.at(at) & (SETTLED | NOT_DONE)) !== 0)) return;
    this.go(label('correct', step.index, by, 0), () => this.correct(step));
  }

  private peopleMoves(by: number, status: number): void {
    const { layout } = this;
    if (this.at(layout.window) === 0) {
      for (let person = 0; person < this.crew; person++) {
        if (!this.isHere(person)) {
          this.go(label('join', 0, by, person), () => this.join(person));
          continue;
        }
        const alone = this.presentCount() < 2;
        const bound = by !== person && this.hasOwn(person);
        if (status <= 2 && !alone && !bound) {
          this.go(label('leave', 0, by, person), () => this.leave(person));
        }
        if (status !== 1 || person === by || !this.mayHandOver(by, person)) continue;
        this.go(label('handOver', 0, by, person), () => this.handOver(by, person));
      }
    }
    if (status !== 2) this.removals(by);
  }

  /** One named lock covers one point; at the others the incoming lock is on already. */
  private mayHandOver(from: number, to: number): boolean {
    let bare = 0;
    for (let point = 0; point < this.plan.points.length; point++) {
      const has = this.own(point, to) !== 0;
      if (this.own(point, from) !== 0 && !has) bare++;
    }
    return bare < 2;
  }

  private hasOwn(person: number): boolean {
    for (let point = 0; point < this.plan.points.length; point++) {
      if (this.own(point, person) !== 0) return true;
    }
    return false;
  }

  private removals(by: number): void {
    const points = this.plan.points.length;
    for (let person = 0; person < this.crew; person++) {
      if (person === by || this.isHere(person)) continue;
      let firm = false;
      for (let point = 0; point < points; point++) {
        if (this.firm(point, person) !== 0) firm = true;
        if (this.own(point, person) === 0) continue;
        this.go(label('removeLockFor', point, by, person), () => this.removeLock(person, point));
      }
      if (firm) {
        this.go(label('removeLockFor', 255, by, person), () => this.removeLock(person, 'firm'));
      }
    }
  }

  private exitMoves(by: number, status: number): void {
    const { layout } = this;
    const end = (kind: 'refuse' | 'evidenceHold' | 'close', to: number) =>
      this.go(label(kind, 0, by, 0), () => (this.row[layout.status] = to));
    if (status <= 2) {
      const window = this.at(layout.window) !== 0;
      if (!window) {
        if (this.wants.park && this.isWhole()) {
          this.go(label('park', 0, by, 0), () => this.park('usable', by, false));
        }
        if (this.wants.park && this.isCutEverywhere()) {
          if (this.isControlledEverywhere()) {
            this.go(label('park', 0, by, 1), () => this.park('shut', by, false));
          }
          this.go(label('park', 0, by, 2), () => this.park('shut', by, true));
        }
        if (this.wants.refuse && this.mayRefuse()) end('refuse', 6);
        if (this.wants.evidenceHold && (!isAnyEndOpen(this, 0) || this.isCutEverywhere()))
          end('evidenceHold', 7);
        if (status === 1 && this.mayClose()) end('close', 5);
      }
      const down = () => this.downTools();
      if (window) this.go(label('downTools', 0, by, 0), () => this.closeWindow(), down);
      else this.go(label('downTools', 0, by, 0), down);
    }
    if (this.wants.tingle) this.tingleMove(by);
    if (status !== 1) this.go(label('resume', 0, by, 0), () => this.resume(by));
  }

  private tingleMove(by: number): void {
    const effects: (() => void)[] = [];
    if (this.at(this.layout.window) !== 0) {
      effects.push(
        () => this.closeWindow(),
        () => this.downTools(),
      );
    }
    for (const source of this.plan.sources) {
      if (!source.electrical || source.points.length === 0) continue;
      const steps = this.endedBy('reEnergized', source.index, 0, -1);
      effects.push(() => this.lapse('reEnergized', steps, source.index));
    }
    this.go(label('tingle', 0, by, 0), ...effects);
  }

  private lapseMoves(): void {
    for (const what of STATED_LAPSES) {
      const go = (extra: number, source: number, minutes: number, step: number) => {
        const steps = this.endedBy(what, source, minutes, step);
        const at = what === 'time' ? step : STATED_LAPSES.indexOf(what);
        this.go(label('lapse', at, what === 'time' ? 1 : 0, extra), () =>
          this.lapse(what, steps, source),
        );
      };
      switch (what) {
        case 'time':
          for (const step of this.steps) {
            if (step.keepsMs > 0 && (this.at(step.index) & FRESH) !== 0) go(0, -1, 0, step.index);
          }
          break;
        case 'reEnergized':
          for (const source of this.plan.sources) {
            if (source.points.length > 0) go(source.index, source.index, 0, -1);
          }
          break;
        case 'leftSight':
          go(0, -1, 0, -1);
          go(1, -1, LONG, -1);
          break;
        default:
          go(0, -1, 0, -1);
      }
    }
  }

  private waitMoves(): void {
    const { layout, plan } = this;
    const began = plan.sources.some(
      (source) => source.waitMs > 0 && this.at(layout.cut + source.index) !== 0,
    );
    if (!began) return;
    for (let by = 0; by < this.crew; by++) {
      if (!this.isHere(by)) continue;
      for (const at of plan.ofKind.release) {
        const step = this.steps[at] as PlanStep;
        if (this.waitMs(step) > 0 && this.isOpenTo(step, by, true))
          this.doMoves(step, by, 'waited');
      }
    }
  }

  private dangerMoves(): void {
    const { plan } = this;
    for (const at of [...plan.ofKind.case, ...plan.ofKind.prove]) {
      const step = this.steps[at] as PlanStep;
      let open = false;
      for (let by = 0; by < this.crew && !open; by++) {
        open = this.isHere(by) && this.isOpenTo(step, by, false);
      }
      if (!open) continue;
      (this.samples[at] as Sample).dangers.forEach((shown, how) =>
        this.go(label('danger', at, 0, how), () => this.show(shown)),
      );
    }
  }

  private show(shown: Sample['dangers'][number]): void {
    const { sourceIndex } = this.plan;
    if (shown.doubt !== undefined) this.readDoubtful();
    if (shown.live !== undefined) this.readLive(sourceIndex.get(shown.live) ?? 0);
    if (shown.caseLive !== undefined) this.caseReadLive(sourceIndex.get(shown.caseLive) ?? 0);
  }
}
