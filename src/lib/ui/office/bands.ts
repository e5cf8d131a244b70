/** A source's state as the office names it in lists and beside its band. */
import type { SourceKind } from '#lib/core/checklist/model.ts';
import type { SourceView } from '#lib/core/job/view-types.ts';
import { sourceState } from '../words/of-sources.ts';

export const bandName = (kind: SourceKind, state: SourceView['state']): string =>
  sourceState({ id: '', label: '', points: [], kind, state });

/** How high the line of a source stands in its band: live at the top, dead at the bottom. */
export function levelOf(state: SourceView['state']): number {
  switch (state) {
    case 'live':
    case 'window':
    case 'stored':
      return 0;
    case 'unknown':
      return 1;
    case 'cut':
      return 2;
    case 'held':
      return 3;
    case 'dead':
    case 'released':
      return 4;
  }
}
