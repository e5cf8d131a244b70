import type { JobEvent } from '../job/events.ts';
import { anyFresh } from './asks.ts';
import type { BookStep } from './book.ts';
import type { Property } from './property.ts';
import { stepsOf, type Scene } from './scene.ts';

export const nobodyInTheWay: Property = {
  id: 'P3',
  name: 'nobody in the way',
  says:
    'A source is restored only when everyone who joined has confirmed that they are clear since ' +
    'the last exposed step, and no lock is left on any of its points.',
  explains:
    'A roll call counts when it lists everyone present, and ends with the next exposed step, ' +
    'with the next person who comes or goes, a suspension, a lock removed for somebody away, ' +
    'or its own shelf life. Tags and the firm’s own locks count as locks. A live window ' +
    'restores too.',
  watches: ['step.done', 'window.opened'],
  check(scene, event, step) {
    const source = restoredSource(scene, event, step);
    if (source === null) return null;
    if (!anyFresh(scene, stepsOf(scene, 'clear'))) {
      return 'not everyone has said that they are clear since the last exposed step';
    }
    const points = scene.book.sources[source]?.points ?? [];
    const left = scene.holds.find((hold) => points.includes(hold.point));
    if (left === undefined) return null;
    return `a lock or tag is left on ${scene.book.points[left.point]?.label ?? 'a point'}`;
  },
};

function restoredSource(scene: Scene, event: JobEvent, step: BookStep | undefined): number | null {
  if (event.type === 'window.opened') return scene.book.sourceAt.get(event.body.source) ?? -1;
  return event.type === 'step.done' && step?.do === 'restore' ? step.source : null;
}
