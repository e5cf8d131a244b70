/** What a check of the whole store found: every check by name, held or failed, with where and why. */

/** In the order in which they are told. */
export const FSCK_CHECKS = [
  'log',
  'leaves',
  'acts',
  'keys',
  'entries',
  'chains',
  'jobs',
  'tiles',
  'checkpoints',
  'outside',
  'held',
  'photos',
  'disclosures',
] as const;
export type FsckCheckId = (typeof FSCK_CHECKS)[number];

export interface FsckCheck {
  readonly id: FsckCheckId;
  readonly status: 'held' | 'failed' | 'notRun';
  /** One sentence: what holds, or how much does not. */
  readonly says: string;
  /** The first findings, each with its place. */
  readonly findings: readonly string[];
}

export interface FsckReport {
  readonly ok: boolean;
  readonly entries: number;
  readonly acts: number;
  readonly jobs: number;
  readonly checks: readonly FsckCheck[];
}

const MOST_TOLD = 20;

/** What each check holds when it holds. */
const HOLDS: Readonly<Record<FsckCheckId, string>> = {
  log: 'The log is the one of this key.',
  leaves: 'Every leaf is there, once, and is the bytes that its hash names.',
  acts: 'Every act of the office is signed by its log.',
  keys: 'The list of keys is what the acts in the tree say.',
  entries: 'Every entry is well formed and signed with the enrolled key of the person it names.',
  chains: 'Every entry follows from the one before it.',
  jobs: 'The list of jobs says what their entries say.',
  tiles: 'The stored tree is the tree of the stored leaves.',
  checkpoints: 'Every checkpoint is signed, and is the beginning of this tree.',
  outside: 'The checkpoint kept outside the database is the beginning of this tree.',
  held: 'The checkpoints that were handed in are the beginning of this tree.',
  photos: 'Every photo that is complete is the bytes that its name says.',
  disclosures: 'Every private value fits a digest in its entry.',
};

export class Findings {
  readonly #byCheck = new Map<FsckCheckId, { count: number; first: string[] }>();
  readonly #notRun = new Map<FsckCheckId, string>();

  fail(id: FsckCheckId, says: string): void {
    const held = this.#byCheck.get(id) ?? { count: 0, first: [] };
    held.count += 1;
    if (held.first.length < MOST_TOLD) held.first.push(says);
    this.#byCheck.set(id, held);
  }

  skip(id: FsckCheckId, why: string): void {
    this.#notRun.set(id, why);
  }

  checks(): FsckCheck[] {
    return FSCK_CHECKS.map((id): FsckCheck => {
      const failed = this.#byCheck.get(id);
      if (failed !== undefined) {
        const says = failed.count === 1 ? '1 finding.' : `${failed.count} findings.`;
        return { id, status: 'failed', says, findings: failed.first };
      }
      const why = this.#notRun.get(id);
      if (why !== undefined) return { id, status: 'notRun', says: why, findings: [] };
      return { id, status: 'held', says: HOLDS[id], findings: [] };
    });
  }
}
