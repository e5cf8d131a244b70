/** The text of a checklist with edits in it: comments and what is not touched stay. */
import { isSeq, parseDocument } from 'yaml';
import type { RevisionEdit } from './revision-edits.ts';

/** @param edits places that the file has, or whose block it has; steps by id */
export function withEditsPut(text: string, edits: readonly RevisionEdit[]): string {
  const document = parseDocument(text);
  const steps: unknown = document.get('steps', true);
  const ids = isSeq(steps) ? steps.items.map((_, at) => document.getIn(['steps', at, 'id'])) : [];
  for (const { at, to } of edits) {
    const [first, id, ...rest] = at;
    const place = first === 'steps' ? ['steps', ids.indexOf(id), ...rest] : at;
    if (to === undefined) document.deleteIn(place);
    else document.setIn(place, document.createNode(to));
  }
  return document.toString({ lineWidth: 110 });
}
