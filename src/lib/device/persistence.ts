/** How well the browser keeps what it was given, in plain words. */

export interface Keeping {
  /** True when the browser promised not to clear the records by itself. */
  readonly promised: boolean;
  readonly says: string;
  /** Bytes used and allowed by the browser's own estimate; absent where it tells none. */
  readonly usage?: number;
  readonly quota?: number;
}

type Storage = Pick<StorageManager, 'estimate' | 'persist' | 'persisted'>;

/** Asks the browser to keep the records for good, and tells what it answered. */
export async function askToKeep(
  storage: Storage | undefined = globalThis.navigator?.storage,
): Promise<Keeping> {
  return keepingOf(storage, (each) => each.persist());
}

/** What the browser promised so far, without asking anything of the person. */
export async function lookAtKeeping(
  storage: Storage | undefined = globalThis.navigator?.storage,
): Promise<Keeping> {
  return keepingOf(storage, (each) => each.persisted());
}

async function keepingOf(
  storage: Storage | undefined,
  promise: (storage: Storage) => Promise<boolean>,
): Promise<Keeping> {
  if (storage === undefined) return { promised: false, says: NOT_PROMISED };
  const promised = await promise(storage).catch(() => false);
  const estimate: StorageEstimate = await storage.estimate().catch(() => ({}));
  const { usage, quota } = estimate;
  const says = [promised ? PROMISED : NOT_PROMISED, roomWords(usage, quota)]
    .filter((part) => part !== '')
    .join(' ');
  return {
    promised,
    says,
    ...(usage === undefined ? {} : { usage }),
    ...(quota === undefined ? {} : { quota }),
  };
}

const PROMISED =
  'The browser has promised to keep the records until somebody clears them. Clearing the data of this site still deletes them.';
const NOT_PROMISED =
  'The browser has not promised to keep the records: it may clear them when the device runs short of space. Put Stillwire on the home screen, or export each job when it ends.';

function roomWords(usage: number | undefined, quota: number | undefined): string {
  if (usage === undefined || quota === undefined) return '';
  const used = inWords(usage);
  const left = inWords(Math.max(0, quota - usage));
  return `They take ${used}; the browser thinks that ${left} are left, which is often more than there is.`;
}

/** Bytes in a unit a person reads: `740 KB`, `3.2 MB`, `12 GB` (decimal units, as phones show them). */
export function inWords(bytes: number): string {
  const units = ['bytes', 'KB', 'MB', 'GB', 'TB'] as const;
  let unit = 0;
  let amount = bytes;
  while (amount >= 1000 && unit < units.length - 1) {
    amount /= 1000;
    unit += 1;
  }
  const digits = unit > 0 && amount < 10 ? 1 : 0;
  return `${amount.toFixed(digits)} ${units[unit]}`;
}
