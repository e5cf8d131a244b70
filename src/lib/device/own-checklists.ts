/** Checklists that are this firm's own, kept as texts on the device; they may be unfinished. */
import type { Connection } from './connection.ts';
import { done } from './trouble.ts';
import type { Result } from './trouble.ts';

export interface OwnChecklist {
  readonly id: string;
  /** The file as it was last typed. */
  readonly text: string;
  /** Wall time of the last change, RFC 3339. */
  readonly changed: string;
  /** What it is compared with: the revision that was signed last, or the list that it was copied from. */
  readonly before?: string;
  /** The list of the shelf that it was copied from. */
  readonly from?: string;
}

const KEY = 'checklist:';
const all = () => IDBKeyRange.bound(KEY, `${KEY}\uffff`);

export async function ownChecklists(
  connection: Connection,
): Promise<Result<readonly OwnChecklist[]>> {
  return connection.read(['settings'], async (tx) =>
    done((await tx.objectStore('settings').getAll(all())) as OwnChecklist[]),
  );
}

export async function ownChecklist(
  connection: Connection,
  id: string,
): Promise<Result<OwnChecklist | null>> {
  return connection.read(['settings'], async (tx) => {
    const kept = (await tx.objectStore('settings').get(KEY + id)) as OwnChecklist | undefined;
    return done(kept ?? null);
  });
}

export function keepOwnChecklist(connection: Connection, own: OwnChecklist): Promise<Result<void>> {
  return connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put(own, KEY + own.id);
    return done(undefined);
  });
}

export function dropOwnChecklist(connection: Connection, id: string): Promise<Result<void>> {
  return connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').delete(KEY + id);
    return done(undefined);
  });
}
