import { isProvenDead } from './asks.ts';
import type { Property } from './property.ts';
import { PROVED } from './scene.ts';

export const proofDies: Property = {
  id: 'P5',
  name: 'a proof dies',
  says:
    'After a suspension, a handover, a restoration, a lapse of time or a touched isolation point ' +
    'there is no exposed step before a new proof.',
  explains:
    'What ends a proof is the lapse table, and what a checklist adds to it; also an isolation ' +
    'point of its source that was operated again or that nothing keeps any more, and going over to a ' +
    'newer revision of the list. A proof that ' +
    'was made and has ended breaks this property; one that was never made breaks P1.',
  watches: ['step.done'],
  check(scene, event, step) {
    if (event.type !== 'step.done' || step === undefined) return null;
    for (const index of step.exposes) {
      const source = scene.book.sources[index];
      if (source === undefined || isProvenDead(scene, index)) continue;
      if (source.proveSteps.some((prove) => ((scene.steps[prove] ?? 0) & PROVED) !== 0)) {
        return `the proof of ${source.label} has ended and was not made again`;
      }
    }
    return null;
  },
};
