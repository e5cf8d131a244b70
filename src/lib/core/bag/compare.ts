/**
 * Two bags that say they are of one job: is one the continuation of the other?
 *
 * A later bag of a job must hold every entry of an earlier one, byte for byte, and may only add to them.
 * Where two bags part, somebody wrote two stories of one job, and neither bag alone can show it.
 */
import type { SealedEntry } from '../record/sealed.ts';
import type { BagReport } from './summary.ts';

export type Which = 'first' | 'second';

export type Comparison = {
  /** Both bags hold by themselves; without that nothing said here can be relied on. */
  readonly sound: boolean;
  /** One plain sentence. */
  readonly says: string;
} & (
  | { readonly kind: 'same'; readonly entries: number }
  | {
      readonly kind: 'continues';
      /** The one that goes on. */
      readonly longer: Which;
      /** Entries that both have, and those that only the longer one has. */
      readonly shared: number;
      readonly more: number;
    }
  /** `from` is the number of the first entry in which they differ, counted from 0. */
  | { readonly kind: 'forks'; readonly from: number }
  | { readonly kind: 'otherJob' }
  /** The entries of a bag cannot all be read, so that there is nothing to hold against the other. */
  | { readonly kind: 'unreadable'; readonly which: Which }
);

/** Do the two tell one story, as far as both go? */
export const agree = ({ kind, sound }: Comparison): boolean =>
  sound && (kind === 'same' || kind === 'continues');

/**
 * Do the bags hold together? The shorter of two may end before the job did: the longer one shows where it
 * went on.
 */
export function holdTogether(first: BagReport, second: BagReport, found: Comparison): boolean {
  if (!agree(found)) return false;
  const stands = (report: BagReport, which: Which): boolean =>
    report.ok ||
    (report.conclusion === 'endNotProven' && found.kind === 'continues' && found.longer !== which);
  return stands(first, 'first') && stands(second, 'second');
}

/** Compares two verified bags, entry by entry; order matters only for the words. */
export function compareBags(first: BagReport, second: BagReport): Comparison {
  const sound = first.conclusion !== 'fails' && second.conclusion !== 'fails';
  const found = held(first.bag?.sealed ?? null, second.bag?.sealed ?? null);
  const caution = sound
    ? ''
    : ' But at least one of them does not hold by itself, so do not rely on this.';
  return { ...found, sound, says: `${sentence(found)}${caution}` };
}

type WithoutWords<T> = T extends unknown ? Omit<T, 'sound' | 'says'> : never;
type Found = WithoutWords<Comparison>;

function held(one: readonly SealedEntry[] | null, other: readonly SealedEntry[] | null): Found {
  const [a, b] = [one?.[0], other?.[0]];
  if (one === null || a === undefined) return { kind: 'unreadable', which: 'first' };
  if (other === null || b === undefined) return { kind: 'unreadable', which: 'second' };
  if (a.entry.job !== b.entry.job) return { kind: 'otherJob' };
  const shared = Math.min(one.length, other.length);
  // Every line is compared, not the last shared one: whether the chains hold is another check.
  for (let seq = 0; seq < shared; seq += 1) {
    if (one[seq]?.hash !== other[seq]?.hash) return { kind: 'forks', from: seq };
  }
  const more = Math.abs(one.length - other.length);
  if (more === 0) return { kind: 'same', entries: shared };
  const longer = one.length > other.length ? 'first' : 'second';
  return { kind: 'continues', longer, shared, more };
}

function sentence(found: Found): string {
  switch (found.kind) {
    case 'same':
      return `Both bags hold the same record: ${found.entries} entries, byte for byte.`;
    case 'continues': {
      const shorter = found.longer === 'first' ? 'second' : 'first';
      return `The ${found.longer} bag is a continuation of the ${shorter}: it holds all its ${found.shared} entries unchanged, and ${found.more} more.`;
    }
    case 'forks':
      return `The bags fork: they are of one job, and from entry ${found.from} on they tell different stories. At most one of them is the whole of it.`;
    case 'otherJob':
      return 'The bags are of different jobs: neither can be a continuation of the other.';
    case 'unreadable':
      return `The record of the ${found.which} bag cannot be read, so the two cannot be compared.`;
  }
}
