import { anyFresh, controlFault, isProvenDead, workers } from './asks.ts';
import type { BookStep } from './book.ts';
import type { Property } from './property.ts';
import type { Scene } from './scene.ts';

export const exposedWork: Property = {
  id: 'P1',
  name: 'no exposed work on a live source',
  says:
    'A step that exposes a person to a source happens only while that source is isolated at ' +
    'every declared point, under control (a lock of every person working, or the plug in one ' +
    'person’s exclusive control), its stored energy released, and proven dead since.',
  explains:
    'Every step with `exposes` counts, whatever its kind, the first of two hands included; a ' +
    'refused try does not. Everyone present works, and so does whoever acts. A lock counts once ' +
    'its owner has stated it after the point was last isolated; a plug in sight covers one ' +
    'person, and with more every one needs a lock on some plug of that source. A tag counts with ' +
    'one further measure, at a point declared for it. A raised part whose prop is no longer ' +
    'known to hold stops every exposed step but the one that props or lowers it.',
  watches: ['step.done'],
  check(scene, event, step) {
    if (event.type !== 'step.done' || step === undefined) return null;
    if (step.exposes.length === 0) return null;
    const people = workers(scene, event.by);
    for (const source of step.exposes) {
      const fault = sourceFault(scene, source, people);
      if (fault !== null) return fault;
    }
    return propFault(scene, step);
  },
};

function sourceFault(scene: Scene, index: number, people: readonly string[]): string | null {
  const source = scene.book.sources[index];
  if (source === undefined) return 'it exposes to a source that the checklist does not declare';
  const control = controlFault(scene, index, people);
  if (control !== null) return control;
  if (source.release !== null && !anyFresh(scene, source.releaseSteps)) {
    return `what is stored in ${source.label} was not released, or that has lapsed`;
  }
  if (source.dead !== null && !isProvenDead(scene, index)) {
    return `${source.label} is not proved dead since it was isolated and controlled`;
  }
  return null;
}

function propFault(scene: Scene, step: BookStep): string | null {
  const loose = scene.book.ends.find(
    (end, index) =>
      end.kind === 'prop' &&
      scene.ends[index] === true &&
      index !== step.end &&
      !anyFresh(scene, end.openSteps),
  );
  return loose === undefined ? null : `${loose.label} is not known to hold what it props up`;
}
