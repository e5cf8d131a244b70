import { proofFault } from './meter.ts';
import type { Property } from './property.ts';

export const provenMeter: Property = {
  id: 'P6',
  name: 'a proof needs a proven meter',
  says: 'Each proof is live, dead, live with one instrument that is in calibration, and rated for the source.',
  explains:
    'Before and after within 10 % of a known source that is not zero, every declared pair (and ' +
    'any other that was read) below the limit, a meter of this job whose calibration date has ' +
    'not passed on the wall’s date, of at least the category named for the source and at least ' +
    'its nominal voltage (IEC 61010-1 measurement categories; the 10 % are a default of the ' +
    'house).',
  watches: ['step.done'],
  check(scene, event, step) {
    if (event.type !== 'step.done') return null;
    if (step?.do !== 'prove') return null;
    return proofFault(scene, step, event.body.result, event.at.slice(0, 10));
  },
};
