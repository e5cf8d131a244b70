import { controlFault, workers } from './asks.ts';
import type { Property } from './property.ts';
import { COUNTED, TOO_MANY } from './scene.ts';

export const sourcesCounted: Property = {
  id: 'P12',
  name: 'every source counted',
  says:
    'Nothing is proven dead before the sources were counted on the machine itself, and the ' +
    'points secured are no fewer than the sources.',
  explains:
    'The last count recorded in this job, at the latest with the proof itself, is a whole number ' +
    'from one to the number of declared sources: a machine with more than the checklist knows is ' +
    'not this checklist’s machine. A source is proved only with each of its points isolated and ' +
    'under control; the others may still be live.',
  watches: ['step.done'],
  check(scene, event, step) {
    if (event.type !== 'step.done') return null;
    if (step?.do !== 'prove') return null;
    if (scene.steps.some((marks) => (marks & TOO_MANY) !== 0)) {
      return 'more sources were counted than the checklist declares';
    }
    const { sources } = event.body.result;
    const withIt = sources !== undefined && isWhole(sources, scene.book.sources.length);
    if (sources !== undefined && !withIt) return 'the count of the sources is not one to believe';
    if (!withIt && !scene.steps.some((marks) => (marks & COUNTED) !== 0)) {
      return 'the sources were not counted on the machine';
    }
    return controlFault(scene, step.source, workers(scene, event.by));
  },
};

/** From one to all that the checklist declares. */
function isWhole(count: number, declared: number): boolean {
  return Number.isInteger(count) && count >= 1 && count <= declared;
}
