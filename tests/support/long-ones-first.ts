// Where nothing is known of earlier runs, as on a fresh clone, the files that take longest begin: a long one
// that begins last leaves the other core idle until it is over.
import { BaseSequencer } from 'vitest/node';

/** Ends of paths below tests/, the longest first; a name that is gone does no harm. */
const LONG = [
  'contract/prove-large.test.ts',
  'faults/server-killed.test.ts',
  'replays/replays.test.ts',
  'prove/symbolic/walk.test.ts',
  'prove/symbolic/agreement.test.ts',
  'contract/backup.test.ts',
  'sync/ten-devices.test.ts',
  'tamper/second-checker.test.ts',
  'contract/accounts.test.ts',
  'faults/server-store.test.ts',
  'contract/store-check.test.ts',
  'cli/verbs/prove-gates.test.ts',
  'prove/compact.test.ts',
];

function rank(file: string): number {
  const at = LONG.findIndex((end) => file.endsWith(end));
  return at === -1 ? LONG.length : at;
}

export class LongOnesFirst extends BaseSequencer {
  override async sort(files: Parameters<BaseSequencer['sort']>[0]) {
    const sorted = await super.sort(files);
    return sorted.toSorted((a, b) => rank(a.moduleId) - rank(b.moduleId));
  }
}
