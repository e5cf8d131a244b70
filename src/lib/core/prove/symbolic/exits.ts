/** When the job may be left or ended (P10), as the engine's `exits.ts` has it. */
import type { Form } from './form.ts';
import { YES, type Diagram } from './diagrams.ts';
import { anyCut, anyEndOpen, anyLocked, everyPoint } from './gates.ts';

/** Put together, unlocked, on, its case tested since. */
export function mayParkUsable(form: Form): Diagram {
  const { d, of } = form;
  const untested = form.plan.sources
    .filter((source) => source.metalCase)
    .map((source) =>
      d.or(form.at(of.caseLive[source.index]), d.not(form.anyFresh(source.caseSteps))),
    );
  return d.not(
    d.any([anyEndOpen(form, 0), anyLocked(form, everyPoint(form)), anyCut(form), ...untested]),
  );
}

function controlled(form: Form, points: readonly number[]): Diagram {
  return form.d.any(points.map((point) => form.sureAt(point)));
}

/** Cut at every point and under a lock; `lock`: the firm's own is hung with it. */
export function mayParkShut(form: Form, lock: boolean): Diagram {
  return form.d.all(
    form.plan.sources.map((source) => {
      const held = lock || source.points.length === 0 ? YES : controlled(form, source.points);
      return form.d.and(form.cut(source.index), held);
    }),
  );
}

export function mayRefuse(form: Form): Diagram {
  const { d } = form;
  const open = anyEndOpen(form, 0);
  return d.all(
    form.plan.sources.map((source) => {
      if (source.points.length === 0) return YES;
      const touched = d.any(source.points.map((at) => form.notClosed(at)));
      const uncut = d.but(open, form.cut(source.index));
      return d.not(d.or(uncut, d.but(touched, controlled(form, source.points))));
    }),
  );
}

export function mayHold(form: Form): Diagram {
  const cut = form.d.all(form.plan.sources.map((source) => form.cut(source.index)));
  return form.d.or(form.d.not(anyEndOpen(form, 0)), cut);
}

export function mayClose(form: Form): Diagram {
  const { d, plan } = form;
  return d.all([
    form.passedBefore(plan.steps.length),
    mayParkUsable(form),
    form.anyFresh(plan.ofKind.sign),
  ]);
}
