import { anyFresh, isProvenDead } from './asks.ts';
import type { Property } from './property.ts';

export const caseFirst: Property = {
  id: 'P11',
  name: 'case before hands',
  says:
    'No hand on metal that a source could have made live before a fresh reading from case to ' +
    'proven ground; again after it is restored.',
  explains:
    'Hands are on the metal when a plug is pulled, when anything is opened, closed, disconnected ' +
    'or reseated, when contacts are measured or energy is released, and in every exposed step. ' +
    'The test counts when the meter was checked first and every pair reads below 5 V. Each ' +
    'source behind a metal case asks for its own, unless it is proved dead at that moment.',
  watches: ['step.done'],
  check(scene, event, step) {
    if (event.type !== 'step.done') return null;
    if (step?.hands !== true) return null;
    const untested = scene.book.sources.find(
      (source, index) =>
        source.metalCase && !anyFresh(scene, source.caseSteps) && !isProvenDead(scene, index),
    );
    if (untested === undefined) return null;
    return `hands on a case that ${untested.label} may have made live, without a fresh test of it`;
  },
};
