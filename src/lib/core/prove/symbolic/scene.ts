/**
 * The monitors of `core/safety` as questions, beside the engine's state: what their scene may be at most unlike
 * the state, what each event changes in it (`safety/advance.ts`, `acts.ts`, `lapses.ts`), said of
 * diagrams.
 *
 * A part of the scene is either exactly something of the state, or *at least* something of it: what the
 * engine has let go the monitors may still hold, so there a free variable stands beside it, which may
 * be anything. What is shown for every value of the free variables is shown for every scene.
 */
import type { Plan, PlanSource, PlanStep } from '../../job/plan.ts';
import { takesBack } from '../../job/undoing.ts';
import type { StepKind } from '../../checklist/model.ts';
import { NO, YES, type Diagram, type Diagrams } from './diagrams.ts';
import type { Form } from './form.ts';
import type { Variables } from './variables.ts';

/** Kinds that the monitors let be done again and again: saying, seeing, measuring. */
export const STATEMENTS: ReadonlySet<StepKind> = new Set<StepKind>([
  'confirm',
  'tell',
  'wear',
  'photo',
  'find',
  'case',
  'reading',
  'contacts',
  'release',
  'prove',
  'clear',
]);

export interface Part {
  readonly name: string;
  /** What the state says of it. */
  readonly is: (form: Form) => Diagram;
  /**
   * Where the scene may differ: nowhere (exact); it may hold though the state does not say so (`more`), where
   * this holds; or it may fail to hold though the state says so (`less`).
   */
  readonly more?: (form: Form) => Diagram;
  readonly less?: (form: Form) => Diagram;
}

const always = (): Diagram => YES;

/** Every part of the scene that some property asks about. */
export function partsOf(of: Variables): Part[] {
  const { plan } = of;
  const parts: Part[] = [];
  const add = (name: string, is: Part['is'], rest: Omit<Part, 'name' | 'is'> = {}) =>
    parts.push({ name, is, ...rest });
  of.people.forEach((_, person) => add(`here ${person}`, (form) => form.here(person)));
  plan.ends.forEach((_, end) => add(`end ${end}`, (form) => form.at(of.ends[end])));
  plan.points.forEach((point) => {
    const at = point.index;
    add(`open ${at}`, (form) => form.at(of.open[at]));
    add(`unknown ${at}`, (form) => form.at(of.unknown[at]));
    add(
      `cut ${at}`,
      (form) => form.d.and(form.at(of.open[at]), form.isExclusive(at) ? form.held(at) : YES),
      {
        more: always,
      },
    );
    of.people.forEach((_, person) => {
      add(`own ${at} ${person}`, (form) => form.own(at, person));
      add(`sure ${at} ${person}`, (form) => form.ownSure(at, person));
      add(`firm ${at} ${person}`, (form) => form.firm(at, person));
      if (point.control !== 'exclusive') return;
      /* With tools down the monitors still see who keeps the plug. */
      add(`holder ${at} ${person}`, (form) => form.at(of.holders[at]?.[person]), {
        more: (form) => form.at(of.down),
      });
    });
  });
  plan.sources.forEach((source) => {
    if (source.points.length === 0) return;
    add(`isolated ${source.index}`, (form) => form.cut(source.index), { more: always });
  });
  plan.items.forEach((_, item) => {
    of.people.forEach((__, person) => {
      add(`on ${item} ${person}`, (form) => form.at(of.on[person]?.[item]), { more: always });
      add(`off ${item} ${person}`, (form) => form.at(of.bare[person]?.[item]), { more: always });
    });
  });
  add('counted', (form) => form.at(of.counted), { more: always });
  add('doubted', (form) => form.at(of.doubted));
  for (const step of plan.steps) addStep(of, step, add);
  return parts;
}

/** Whatever calls for `one` calls for `other` too. */
function hangsAlike(one: PlanStep, other: PlanStep): boolean {
  return other.when.every((rule) =>
    one.when.some(
      (own) =>
        own.step === rule.step && own.options.every((option) => rule.options.includes(option)),
    ),
  );
}

/**
 * What the order asks for anew because its opposite was done again (a restoration, an unlocking, an opening or a
 * closing) was done all the same: the order has been past it, and nobody can correct it any more.
 */
function wasDone(form: Form, step: PlanStep): Diagram {
  const { d, plan } = form;
  const settled = form.settled(step.index);
  if (!['restore', 'unlock', 'open', 'close'].includes(step.do)) return settled;
  /* A closing is corrected while nothing after it takes anything back; what was ruled out, with the choice. */
  const later = plan.steps.filter((each) => {
    if (each.after <= step.index) return false;
    if (each.phase > step.phase || takesBack(plan, each, step)) return true;
    return step.do !== 'close' && hangsAlike(each, step);
  });
  const past = d.any(later.map((each) => form.settled(each.index)));
  const { notDone, ruledOut } = form.step(step.index);
  return d.or(settled, d.but(past, d.or(form.at(notDone), form.at(ruledOut))));
}

/** Chosen so that the step applies, as far as this choice goes: what hangs on it alone, and alike, tells. */
function isCalledFor(form: Form, step: PlanStep, choice: number): Diagram {
  const { d, plan } = form;
  const applies = (at: number): Diagram => {
    const { ruledOut, notDone } = form.step(at);
    return d.not(d.or(form.at(ruledOut), form.at(notDone)));
  };
  const options = step.when.find((rule) => rule.step === choice)?.options ?? [];
  const alike = plan.steps.filter(({ when: [rule, ...others] }) => {
    if (rule === undefined || others.length > 0 || rule.step !== choice) return false;
    return rule.options.every((option) => options.includes(option));
  });
  const tells = [step, ...alike].map(({ index }) => applies(index));
  return d.and(form.settled(choice), d.any(tells));
}

function addStep(
  of: Variables,
  step: PlanStep,
  add: (name: string, is: Part['is'], rest?: Omit<Part, 'name' | 'is'>) => void,
): void {
  const at = step.index;
  const variables = of.steps[at] as Variables['steps'][number];
  add(`done ${at}`, (form) => wasDone(form, step), { more: always });
  add(`left ${at}`, (form) => form.at(variables.notDone), { more: always });
  if (step.when.length > 0)
    add(`out ${at}`, (form) => form.at(variables.ruledOut), { more: always });
  for (const rule of step.when) {
    const several = step.when.length > 1;
    add(`ok ${at} ${rule.step}`, (form) => isCalledFor(form, step, rule.step), {
      more: (form) => {
        const out = several ? form.at(variables.ruledOut) : NO;
        return form.d.and(form.settled(rule.step), form.d.or(out, form.at(variables.notDone)));
      },
    });
  }
  variables.hand.forEach((place, person) => add(`hand ${at} ${person}`, (form) => form.at(place)));
  if (of.samples[at]?.measured === true) {
    add(
      `unchecked ${at}`,
      (form) => form.d.or(form.d.not(form.fresh(at)), form.at(variables.unchecked)),
      { less: always },
    );
  }
  if (step.do === 'wear') {
    /* Where two steps put on one thing, or take it off, which of them did is not in the state. */
    const others = of.plan.steps.filter((each) => each.do === 'wear' && each.index !== at);
    const own = !others.some((each) => ((each.on & step.on) | (each.off & step.off)) !== 0);
    of.people.forEach((_, person) =>
      add(`worn ${at} ${person}`, (form) => (own ? form.freshFor(step, person) : NO), {
        more: always,
      }),
    );
    return;
  }
  if (step.do === 'window') {
    add(`fresh ${at}`, (form) => form.at(variables.window));
  } else if (step.do === 'choose' || step.do === 'sign') {
    add(`fresh ${at}`, (form) => form.fresh(at));
  } else if (step.do === 'open') {
    /* What is not open may be opened whatever the monitors hold of it; a prop that stands is another matter. */
    const prop = of.plan.ends[step.end]?.kind === 'prop';
    add(`fresh ${at}`, (form) => form.fresh(at), prop ? {} : { more: always });
  } else if (step.do !== 'isolate' && step.do !== 'lock') {
    add(`fresh ${at}`, (form) => form.fresh(at), { more: always });
  }
}

/** A scene as one diagram for each part, over the state and the free variables. */
export class Scene {
  readonly d: Diagrams;
  readonly of: Variables;
  readonly plan: Plan;
  readonly bits: Map<string, Diagram>;

  constructor(d: Diagrams, of: Variables, bits: Map<string, Diagram>) {
    this.d = d;
    this.of = of;
    this.plan = of.plan;
    this.bits = bits;
  }

  /** Every scene that may stand beside a state. */
  static beside(form: Form, parts: readonly Part[], of: Variables): Scene {
    const { d } = form;
    const bits = new Map<string, Diagram>();
    parts.forEach((part, at) => {
      const free = d.variable((of.count + at) * 2);
      const is = part.is(form);
      let value = is;
      if (part.more) value = d.or(is, d.and(free, part.more(form)));
      if (part.less) value = d.but(is, d.and(free, part.less(form)));
      bits.set(part.name, value);
    });
    return new Scene(d, of, bits);
  }

  copy(): Scene {
    return new Scene(this.d, this.of, new Map(this.bits));
  }

  at(name: string): Diagram {
    return this.bits.get(name) ?? NO;
  }

  put(name: string, value: Diagram, when: Diagram = YES): void {
    const before = this.bits.get(name);
    if (before !== undefined) this.bits.set(name, this.d.choose(when, value, before));
  }

  anyFresh(steps: readonly number[]): Diagram {
    return this.d.any(steps.map((at) => this.at(`fresh ${at}`)));
  }

  present(): number[] {
    return this.of.people.map((_, person) => person);
  }

  /** Everything open: ends and, as the engine has them, connectors. */
  anyEndOpen(form: Form, except = 0): Diagram {
    const ends = this.plan.ends.map((_, end) =>
      ((except >> end) & 1) === 0 ? this.at(`end ${end}`) : NO,
    );
    return this.d.or(this.d.any(ends), form.anythingOff());
  }

  closed(point: number): Diagram {
    return this.d.not(this.d.or(this.at(`open ${point}`), this.at(`unknown ${point}`)));
  }

  anyHold(points: readonly number[]): Diagram {
    return this.d.any(
      points.flatMap((at) =>
        this.present().flatMap((p) => [this.at(`own ${at} ${p}`), this.at(`firm ${at} ${p}`)]),
      ),
    );
  }

  /** Nobody who is here lacks a sure lock of their own there. */
  lockedByAll(point: number): Diagram {
    const { d } = this;
    return d.not(
      d.any(this.present().map((p) => d.but(this.at(`here ${p}`), this.at(`sure ${point} ${p}`)))),
    );
  }

  manyHere(): Diagram {
    const { d } = this;
    const here = this.present().map((p) => this.at(`here ${p}`));
    return d.any(here.flatMap((one, at) => here.slice(at + 1).map((other) => d.and(one, other))));
  }

  /** Not isolated and under control for everyone who works. */
  controlFault(source: PlanSource): Diagram[] {
    const { d, plan } = this;
    const faults = source.points.map((at): Diagram => {
      const exclusive = plan.points[at]?.control === 'exclusive';
      const inSight = exclusive
        ? d.any(
            this.present().map((p) => d.and(this.at(`holder ${at} ${p}`), this.at(`here ${p}`))),
          )
        : NO;
      const kept = d.or(inSight, this.lockedByAll(at));
      return d.not(d.all([this.at(`open ${at}`), this.at(`cut ${at}`), kept]));
    });
    const inSight = source.points.every((at) => plan.points[at]?.control === 'exclusive');
    if (source.points.length > 0 && inSight) {
      const bare = this.present().map((p) =>
        d.but(this.at(`here ${p}`), d.any(source.points.map((at) => this.at(`sure ${at} ${p}`)))),
      );
      faults.push(d.and(this.manyHere(), d.any(bare)));
    }
    return faults;
  }

  /** The outcomes that a step hangs on are the chosen ones. */
  applies(step: PlanStep): Diagram {
    return this.d.all(step.when.map((rule) => this.at(`ok ${step.index} ${rule.step}`)));
  }

  /** A fact holds, for this person where it is a personal one. */
  isFresh(step: PlanStep, by: number): Diagram {
    const { d } = this;
    const at = step.index;
    switch (step.do) {
      case 'isolate': {
        if ((this.plan.points[step.point]?.isolateSteps.length ?? 0) > 1) return NO;
        const exclusive = this.plan.points[step.point]?.control === 'exclusive';
        const held = exclusive
          ? d.any(this.present().map((p) => this.at(`holder ${step.point} ${p}`)))
          : YES;
        return d.all([this.at(`cut ${step.point}`), this.at(`open ${step.point}`), held]);
      }
      case 'lock':
        return d.any(this.present().map((p) => this.at(`sure ${step.point} ${p}`)));
      case 'wear':
        return this.at(`worn ${at} ${by}`);
      case 'open':
        return d.and(this.at(`fresh ${at}`), this.at(`end ${step.end}`));
      case 'close':
        return d.but(this.at(`fresh ${at}`), this.at(`end ${step.end}`));
      case 'restore':
        return d.and(this.at(`fresh ${at}`), this.closed(step.point));
      default:
        return this.at(`fresh ${at}`);
    }
  }
}
