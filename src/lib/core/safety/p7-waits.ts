import { releaseFault } from './meter.ts';
import type { Property } from './property.ts';

export const waits: Property = {
  id: 'P7',
  name: 'waits are kept',
  says:
    'Stored energy released by waiting only counts after the computed time has passed on the ' +
    'monotonic clock, and a measured residual below the limit.',
  explains:
    'The wait is R·C·ln(V0/V) from the last time that every source which fills the charge was ' +
    'isolated at all its points; a restart of the running clock starts it again. A heat, ' +
    'pressure or other level that has a limit is measured below it; only a release that the ' +
    'checklist states in words is not.',
  watches: ['step.done'],
  check(scene, event, step) {
    if (event.type !== 'step.done') return null;
    return step?.do === 'release' ? releaseFault(scene, step, event.body.result) : null;
  },
};
