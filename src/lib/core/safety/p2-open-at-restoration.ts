import { openEnds } from './asks.ts';
import type { Property } from './property.ts';

export const openAtRestoration: Property = {
  id: 'P2',
  name: 'nothing open at restoration',
  says:
    'A source is restored only when every connector, cover, prop, jumper and loose part that was ' +
    'opened has been closed again.',
  explains:
    'A live window restores too; it may leave open the ends that its step names, never a ' +
    'connector. A correction never closes anything: what was opened stays open until it is ' +
    'closed.',
  watches: ['step.done', 'window.opened'],
  check(scene, event, step) {
    const { book } = scene;
    if (event.type === 'step.done') {
      return step?.do === 'restore' ? listed(openEnds(scene)) : null;
    }
    if (event.type !== 'window.opened') return null;
    const named = new Set((step?.stillOpen ?? []).map((end) => book.ends[end]?.id));
    const connectors = scene.connectors.filter((one) => one.open).map((one) => one.id);
    const ends = book.ends.filter((end, index) => scene.ends[index] === true && !named.has(end.id));
    return listed([...ends.map((end) => end.id), ...connectors]);
  },
};

function listed(open: readonly string[]): string | null {
  return open.length === 0 ? null : `power comes back while still open: ${open.join(', ')}`;
}
