/** A change between two revisions as a sentence. */
import type { Change, Part } from '#lib/core/checklist/compare.ts';
import * as m from '../paraglide/messages.js';

const partName: Readonly<Record<Part | 'head', () => string>> = {
  step: m.part_step,
  source: m.part_source,
  end: m.part_end,
  suspect: m.part_suspect,
  reference: m.part_reference,
  barred: m.part_barred,
  head: m.part_head,
};

export function changeSays(change: Change): string {
  switch (change.kind) {
    case 'added':
      return m.change_added({ part: partName[change.what](), says: named(change) });
    case 'removed':
      return m.change_removed({ part: partName[change.what](), says: named(change) });
    case 'moved':
      return change.after === ''
        ? m.change_moved_up({ id: change.id })
        : m.change_moved({ id: change.id, after: change.after });
    case 'changed': {
      const { what, id, key, before, after } = change;
      const place = what === 'head' ? key : `${id}, ${key}`;
      const part = partName[what]();
      if (before === '') return m.change_new({ part, place, after });
      if (after === '') return m.change_gone({ part, place, before });
      return m.change_changed({ part, place, before, after });
    }
  }
}

function named({ id, says }: Extract<Change, { readonly says: string }>): string {
  return id === says ? says : `${id}: ${says}`;
}
