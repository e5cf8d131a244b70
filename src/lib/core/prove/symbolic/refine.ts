/**
 * Shows that no move breaks a property, by induction over the states that the engine can reach.
 *
 * Beside each state stand all the scenes that the monitors may be in there (`scene.ts`). Shown is: beside
 * the opened job stands the first scene; and wherever a move may be made, in every scene that stands
 * beside the state no property is broken, and the scene after the move is one of those that stand beside
 * the state after it. So the states walked are the engine's, and the monitors' own past needs no states.
 * What cannot be shown so is not thereby broken: a counterexample is only ever a trace that the monitors
 * themselves refuse.
 */
import { NO, YES, type Diagram, type Diagrams } from './diagrams.ts';
import { faultsOf } from './faults.ts';
import type { Form } from './form.ts';
import { happen } from './happenings.ts';
import type { Move } from './move.ts';
import type { Moves } from './moves.ts';
import { partsOf, Scene, type Part } from './scene.ts';
import type { Variables } from './variables.ts';

/** What has to be the case nowhere among the states in which the move may be made. */
export interface Duty {
  readonly says: string;
  readonly never: Diagram;
}

export class Refinement {
  private readonly d: Diagrams;
  private readonly of: Variables;
  private readonly parts: readonly Part[];
  private readonly from: Form;
  private readonly beside: Scene;
  private readonly several: readonly number[];

  constructor(d: Diagrams, of: Variables, moves: Moves) {
    this.d = d;
    this.of = of;
    this.from = moves.from;
    this.parts = partsOf(of);
    this.beside = Scene.beside(moves.from, this.parts, of);
    this.several = of.plan.steps.flatMap((step) => (step.when.length > 1 ? [step.index] : []));
  }

  /** What the first scene, beside the opened job, is not as it should be. */
  unlikeAtFirst(opened: Uint8Array): string[] {
    const { d, from, of } = this;
    const settings = new Uint8Array(of.count + this.parts.length);
    settings.set(opened);
    return this.parts.flatMap((part) => {
      const holds = (question: Diagram) => d.holds(question, settings);
      const first = part.name === 'here 0'; /* whoever opened the job */
      const is = holds(part.is(from));
      if (first === is) return [];
      const may = holds((is ? part.less : part.more)?.(from) ?? NO);
      return may ? [] : [`${part.name} at first`];
    });
  }

  /** What is known of every scene besides its parts one by one: no step that was ruled out applies. */
  known(form: Form, scene: Scene): Diagram {
    const { d } = this;
    return d.all(
      this.several.map((at) => {
        const out = form.at(form.step(at).ruledOut);
        const step = this.of.plan.steps[at];
        return step === undefined ? YES : d.not(d.and(out, scene.applies(step)));
      }),
    );
  }

  /** Everything that has to be shown of a move. */
  duties(move: Move): Duty[] {
    const { d, from } = this;
    const duties: Duty[] = [];
    const known = this.known(from, this.beside);
    const name = this.nameOf(move);
    const owe = (says: string, never: Diagram) => {
      if (never !== NO) duties.push({ says: `${name}: ${says}`, never: d.and(never, known) });
    };
    const scene = this.beside.copy();
    for (const happening of move.happenings) {
      for (const [property, fault] of faultsOf(scene, happening, from)) {
        owe(property, fault);
      }
      happen(scene, happening, from, move.to ?? from);
    }
    if (move.to === undefined) return duties;
    for (const part of this.parts) this.keeps(part, scene, move.to, owe);
    owe('ruled out', d.not(this.known(move.to, scene)));
    return duties;
  }

  private nameOf({ happenings: [first] }: Move): string {
    const { steps } = this.of.plan;
    if (first?.kind === 'act') return first.act.step.id;
    if (first !== undefined && 'step' in first)
      return `${steps[first.step]?.id ?? ''} ${first.kind}`;
    return first?.kind === 'lapse' ? `lapse ${first.what}` : (first?.kind ?? '');
  }

  /** The part after the move is one that may stand beside the state after it. */
  private keeps(
    part: Part,
    scene: Scene,
    to: Form,
    owe: (says: string, never: Diagram) => void,
  ): void {
    const { d, from } = this;
    const after = scene.at(part.name);
    const is = part.is(to);
    const [more, less] = [part.more?.(to) ?? NO, part.less?.(to) ?? NO];
    const unchanged =
      after === this.beside.at(part.name) &&
      is === part.is(from) &&
      more === (part.more?.(from) ?? NO) &&
      less === (part.less?.(from) ?? NO);
    if (unchanged) return;
    if (less !== YES) owe(`${part.name} is lost`, d.but(d.but(is, after), less));
    if (more !== YES) owe(`${part.name} is gained`, d.but(d.but(after, is), more));
  }
}
