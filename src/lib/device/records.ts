/**
 * The records of this device as far as a list of jobs needs them: the store and its second copy, opened, and
 * what stands in them. Nothing here decides, signs or folds: the first screen is drawn without the engine.
 */
import { disclosedIn } from '#lib/core/record/disclosures.ts';
import { takeBallast } from './ballast.ts';
import { Connection } from './connection.ts';
import { acquaint, answerForEmptied, browserPlaces } from './known-device.ts';
import type { Acquaintance, MarkPlace } from './known-device.ts';
import { askToKeep, lookAtKeeping } from './persistence.ts';
import type { Keeping } from './persistence.ts';
import type { JobRow } from './schema.ts';
import { jobsBroughtBack, SecondCopy, secondPlace } from './second-copy.ts';
import { done } from './trouble.ts';
import type { Result } from './trouble.ts';
import { listenForNews } from './writer.ts';

export interface JobListing extends JobRow {
  /** Where, while that is kept on this device. */
  readonly site?: string;
  /** The browser had lost it; it came from the second copy, and nothing was recorded in it since. */
  readonly broughtBack?: true;
}

/** The two stores, and what was found in them. */
interface Opened {
  readonly connection: Connection;
  readonly copy: SecondCopy | null;
  acquaintance: Acquaintance;
}

export class Records {
  readonly opened: Opened;

  constructor(opened: Opened) {
    this.opened = opened;
  }

  get connection(): Connection {
    return this.opened.connection;
  }

  /** Whether this browser was in use before, and whether what it kept is still there. */
  get acquaintance(): Acquaintance {
    return this.opened.acquaintance;
  }

  /** Resolves when the second copy holds everything that was written until now. */
  async copied(): Promise<void> {
    await this.opened.copy?.settled();
  }

  /** The alarm of an emptied store was read and passed on. */
  async answerForEmptied(): Promise<Result<void>> {
    const answered = await answerForEmptied(this.connection);
    if (answered.ok) this.opened.acquaintance = { kind: 'known', since: this.acquaintance.since };
    return answered;
  }

  /** Once after the first paint: asks the browser to keep the records, and takes in the ballast. */
  async settle(): Promise<Keeping> {
    const keeping = await askToKeep();
    const ballast = await takeBallast(this.connection);
    if (ballast.ok) return keeping;
    return { ...keeping, says: `${keeping.says} ${NO_RESERVE}` };
  }

  /** What the browser promised so far, without asking anything of the person. */
  lookAtKeeping(): Promise<Keeping> {
    return lookAtKeeping();
  }

  onOutdated(tell: () => void): () => void {
    return this.connection.onOutdated(tell);
  }

  /** Calls back when another tab has added to a job. */
  onJobs(tell: (job: string) => void): () => void {
    return listenForNews(tell).stop;
  }

  close(): void {
    this.opened.copy?.close();
    this.connection.close();
  }

  /** Every job kept here, the newest first. */
  async listJobs(): Promise<Result<readonly JobListing[]>> {
    const back = await jobsBroughtBack(this.connection);
    if (!back.ok) return back;
    return this.connection.read(['jobs', 'disclosures'], async (tx) => {
      const rows = await tx.objectStore('jobs').getAll();
      const sites = await Promise.all(
        rows.map(({ job }) =>
          tx.objectStore('disclosures').getAll(IDBKeyRange.bound([job], [job, []])),
        ),
      );
      const listed = rows.map((row, at): JobListing => {
        const site = siteIn((sites[at] ?? []).map(({ disclosure }) => disclosure));
        const broughtBack = back.value[row.job] === row.count;
        return {
          ...row,
          ...(site === undefined ? {} : { site }),
          ...(broughtBack ? { broughtBack } : {}),
        };
      });
      return done(listed.sort((a, b) => (a.job < b.job ? 1 : -1)));
    });
  }
}

/**
 * Opens the store of this browser: `no-store`, `blocked`, `outdated`, `full` or `lost` if not.
 * @param place where the second copy of it is kept
 */
export async function openRecords(
  places: readonly MarkPlace[] = browserPlaces(),
  place: Promise<IDBFactory | undefined> = secondPlace(),
): Promise<Result<Records>> {
  const first = await Connection.open();
  if (!first.ok) return first;
  const connection = first.value;
  const copy = await SecondCopy.beside(connection, await place);
  const known = await acquaint(connection, dayOf(new Date()), places);
  return known.ok ? done(new Records({ connection, copy, acquaintance: known.value })) : known;
}

function siteIn(disclosures: readonly string[]): string | undefined {
  for (const each of disclosures) {
    const read = disclosedIn(each);
    if (!read.ok || read.value.name !== 'site') continue;
    if (typeof read.value.value === 'string') return read.value.value;
  }
  return undefined;
}

/** The day on the wall here, `YYYY-MM-DD`. */
function dayOf(date: Date): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}

const NO_RESERVE =
  'There is too little room for the reserve that lets entries through when the device is full: free some space soon.';
