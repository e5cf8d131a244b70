/**
 * Every move of a job as a question (may it be made?) and a form (what does it lead to?): `enabledCommands`,
 * the waits and the dangers of `../moves.ts`. A move has a number, its label; `../compact/label.ts` gives
 * that of an engine's move too, so that the two can be compared.
 */
import { STATED_LAPSES } from '../../job/lapses.ts';
import { label } from '../compact/label.ts';
import * as acts from './acts.ts';
import { NO, YES, type Diagram, type Diagrams } from './diagrams.ts';
import { endedBy, lapse, type LapseSaid } from './endings.ts';
import { mayClose, mayHold, mayParkShut, mayParkUsable, mayRefuse } from './exits.ts';
import type { Form } from './form.ts';
import type { Happening } from './happenings.ts';
import type { Move } from './move.ts';
import { StepMoves } from './step-moves.ts';
import type { Variables } from './variables.ts';

/** Minutes out of sight that count as long. */
const LONG = 45;

export class Moves extends StepMoves {
  constructor(d: Diagrams, of: Variables) {
    super(d, of);
    for (let by = 0; by < this.from.crew; by++) {
      this.peopleMoves(by);
      this.exitMoves(by);
    }
    this.lapses();
  }

  /** Whoever may speak: who is here, or while parked whoever was here at some time. */
  private speaks(by: number): Diagram {
    const { d, from } = this;
    return d.choose(this.isParked, from.known(by), from.here(by));
  }

  private peopleMoves(by: number): void {
    const { d, from } = this;
    const speaks = d.but(this.speaks(by), this.inWindow);
    const many = from.atLeastHere(2);
    for (let person = 0; person < from.crew; person++) {
      const here = from.here(person);
      this.add(
        label('join', 0, by, person),
        by,
        d.but(speaks, here),
        [{ kind: 'joined', person, by }],
        (form) => acts.join(form, person),
      );
      const own = this.of.plan.points.map((point) => from.own(point.index, person));
      const bound = by === person ? NO : d.any(own);
      const leaves = d.all([speaks, d.not(this.isParked), here, many, d.not(bound)]);
      this.add(label('leave', 0, by, person), by, leaves, [{ kind: 'left', person, by }], (form) =>
        acts.leave(form, person),
      );
      if (person !== by) this.handOverMove(by, person);
      if (person !== by) this.removals(by, person);
    }
  }

  /** One named lock covers one point; at the others the incoming lock is on already. */
  private handOverMove(by: number, to: number): void {
    const { d, from } = this;
    let none: Diagram = YES;
    let one: Diagram = NO;
    for (const { index } of this.of.plan.points) {
      const bare = d.but(from.own(index, by), from.own(index, to));
      one = d.choose(bare, none, one);
      none = d.but(none, bare);
    }
    const guard = d.all([this.here(by), d.not(this.inWindow), from.here(to), d.or(none, one)]);
    this.add(
      label('handOver', 0, by, to),
      by,
      guard,
      [{ kind: 'handedOver', from: by, to }],
      (form) => acts.handOver(form, by, to),
    );
  }

  private removals(by: number, person: number): void {
    const { d, from, of } = this;
    const may = d.all([this.speaks(by), d.not(this.isDown), d.not(from.here(person))]);
    for (const { index } of of.plan.points) {
      const guard = d.and(may, from.own(index, person));
      const removed: Happening = { kind: 'lockRemoved', person, point: index };
      this.add(label('removeLockFor', index, by, person), by, guard, [removed], (form) =>
        acts.removeLock(form, person, index),
      );
    }
    const firm = d.any(of.plan.points.map(({ index }) => from.firm(index, person)));
    const removed: Happening = { kind: 'lockRemoved', person, point: 'firm' };
    this.add(label('removeLockFor', 255, by, person), by, d.and(may, firm), [removed], (form) =>
      acts.removeLock(form, person, 'firm'),
    );
  }

  private exitMoves(by: number): void {
    const { d, from } = this;
    const working = d.but(from.here(by), this.isParked);
    const outside = d.but(working, this.inWindow);
    const usable = d.and(outside, mayParkUsable(from));
    const left: Happening = { kind: 'parked', as: 'usable', by, lock: false };
    this.add(label('park', 0, by, 0), by, usable, [left], (form) =>
      acts.park(form, 'usable', by, false),
    );
    for (const lock of [false, true]) {
      const guard = d.and(outside, mayParkShut(from, lock));
      const shut: Happening = { kind: 'parked', as: 'shut', by, lock };
      this.add(label('park', 0, by, lock ? 2 : 1), by, guard, [shut], (form) =>
        acts.park(form, 'shut', by, lock),
      );
    }
    this.end('refuse', 'refused', by, d.and(outside, mayRefuse(from)));
    this.end('evidenceHold', 'evidenceHold', by, d.and(outside, mayHold(from)));
    const closing = d.all([outside, this.atWork, mayClose(from)]);
    this.end('close', 'handedBack', by, closing);
    const stops: Happening[] = [{ kind: 'windowClosed' }, { kind: 'toolsDown' }];
    this.add(label('downTools', 0, by, 0), by, working, stops, acts.closeWindow, acts.downTools);
    this.tingle(by);
    const resumes = d.but(this.speaks(by), this.atWork);
    this.add(
      label('resume', 0, by, 0),
      by,
      resumes,
      [{ kind: 'resumed', person: by, by }],
      (form) => acts.resume(form, by),
    );
    const closes = d.and(this.here(by), this.inWindow);
    this.add(
      label('endWindow', 0, by, 0),
      by,
      closes,
      [{ kind: 'windowClosed' }],
      acts.closeWindow,
    );
  }

  private end(
    kind: 'refuse' | 'evidenceHold' | 'close',
    end: NonNullable<Move['end']>,
    by: number,
    guard: Diagram,
  ): void {
    const guards = [{ must: [guard], bars: [] }];
    const happenings: Happening[] = [{ kind: end === 'handedBack' ? 'handedBack' : 'ended' }];
    this.list.push({ label: label(kind, 0, by, 0), by, guards, to: undefined, happenings, end });
  }

  /** In a live window the tools go down first. */
  private tingle(by: number): void {
    const { d, of } = this;
    const sources = of.plan.sources.filter((each) => each.electrical && each.points.length > 0);
    const said = sources.map((each): LapseSaid => ({ what: 'reEnergized', source: each.index }));
    const shocks = said.map((each) => (form: Form) => lapse(form, each));
    const felt = said.map((each) => this.lapsed(each));
    const speaks = this.speaks(by);
    const move = label('tingle', 0, by, 0);
    this.add(move, by, d.but(speaks, this.inWindow), felt, ...shocks);
    const stops: Happening[] = [{ kind: 'windowClosed' }, { kind: 'toolsDown' }];
    this.add(
      move,
      by,
      d.and(speaks, this.inWindow),
      [...stops, ...felt],
      acts.closeWindow,
      acts.downTools,
      ...shocks,
    );
  }

  private lapsed(said: LapseSaid): Happening {
    return {
      kind: 'lapse',
      what: said.what,
      source: said.source ?? -1,
      minutes: said.minutes ?? 0,
      ended: endedBy(this.from, said),
    };
  }

  private lapses(): void {
    const { plan } = this.of;
    for (const what of STATED_LAPSES) {
      const at = STATED_LAPSES.indexOf(what);
      const go = (step: number, mark: number, extra: number, guard: Diagram, said: LapseSaid) =>
        this.add(label('lapse', step, mark, extra), 0, guard, [this.lapsed(said)], (form) =>
          lapse(form, said),
        );
      if (what === 'time') {
        for (const { index, keepsMs } of plan.steps) {
          if (keepsMs > 0) go(index, 1, 0, this.from.fresh(index), { what, step: index });
        }
      } else if (what === 'reEnergized') {
        for (const { index, points } of plan.sources) {
          if (points.length > 0) go(at, 0, index, YES, { what, source: index });
        }
      } else {
        go(at, 0, 0, YES, { what });
        if (what === 'leftSight') go(at, 0, 1, YES, { what, minutes: LONG });
      }
    }
  }
}
