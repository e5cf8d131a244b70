/** This device: its records, its people and keys, its clocks, and the jobs that are open on it. */
import type { Order } from '#lib/core/job/commands.ts';
import type { Refusal } from '#lib/core/job/refusal.ts';
import { readDisclosure } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { takeBallast } from './ballast.ts';
import { keptChecklist, readChecklistText } from './checklists.ts';
import { deviceClock, freshUuid } from './clock.ts';
import type { Clock } from './clock.ts';
import { Connection } from './connection.ts';
import type { BagWishes, Download } from './export.ts';
import { enrol, publicKeys } from './keys.ts';
import type { PublicKey } from './keys.ts';
import { acquaint, answerForEmptied, browserPlaces } from './known-device.ts';
import type { Acquaintance, MarkPlace } from './known-device.ts';
import { askToKeep, lookAtKeeping } from './persistence.ts';
import type { Keeping } from './persistence.ts';
import type { JobRow, PersonRow } from './schema.ts';
import type { Program } from './seal-events.ts';
import { jobsBroughtBack, SecondCopy, secondPlace } from './second-copy.ts';
import { JobSession } from './session.svelte.ts';
import { signatureSays, signedRevision } from './signed-revisions.ts';
import type { Ground } from './job-log.ts';
import { DeviceStore } from './store.ts';
import type { TakenUp } from './take-up.ts';
import { done } from './trouble.ts';
import type { Result, Trouble } from './trouble.ts';
import { listenForNews } from './writer.ts';

export interface JobListing extends JobRow {
  /** Where, while that is kept on this device. */
  readonly site?: string;
  /** The browser had lost it; it came from the second copy, and nothing was recorded in it since. */
  readonly broughtBack?: true;
}

export interface DevicePerson extends PersonRow {
  /** Their key on this device. */
  readonly key?: PublicKey;
}

export type OpenOrder = Extract<Order, { readonly command: 'open' }>;

export type Started =
  | { readonly ok: true; readonly session: JobSession }
  | { readonly ok: false; readonly refusals: readonly Refusal[]; readonly trouble?: Trouble };

export class Device {
  readonly store: DeviceStore;
  readonly #clock: Clock;
  readonly #program: Program;
  readonly #copy: SecondCopy | null;
  #acquaintance: Acquaintance;

  private constructor(
    store: DeviceStore,
    copy: SecondCopy | null,
    clock: Clock,
    program: Program,
    acquaintance: Acquaintance,
  ) {
    this.#copy = copy;
    this.store = store;
    this.#clock = clock;
    this.#program = program;
    this.#acquaintance = acquaintance;
  }

  /**
   * Opens the store of this browser: `no-store`, `blocked`, `outdated`, `full` or `lost` if not.
   * @param place where the second copy of it is kept
   */
  static async open(
    program: Program,
    places: readonly MarkPlace[] = browserPlaces(),
    place: Promise<IDBFactory | undefined> = secondPlace(),
  ): Promise<Result<Device>> {
    const connection = await Connection.open();
    if (!connection.ok) return connection;
    const copy = await SecondCopy.beside(connection.value, await place);
    const clock = deviceClock();
    const today = clock.now().at.slice(0, 10);
    const acquaintance = await acquaint(connection.value, today, places);
    if (!acquaintance.ok) return acquaintance;
    const store = new DeviceStore(connection.value);
    if (copy !== null) store.giveUpCopies = () => copy.giveUpPhotos();
    return done(new Device(store, copy, clock, program, acquaintance.value));
  }

  /** Whether this browser was in use before, and whether what it kept is still there. */
  get acquaintance(): Acquaintance {
    return this.#acquaintance;
  }

  /** Resolves when the second copy holds everything that was written until now. */
  async copied(): Promise<void> {
    await this.#copy?.settled();
  }

  /** The alarm of an emptied store was read and passed on. */
  async answerForEmptied(): Promise<Result<void>> {
    const answered = await answerForEmptied(this.store.connection);
    if (answered.ok) this.#acquaintance = { kind: 'known', since: this.#acquaintance.since };
    return answered;
  }

  /** Once after the first paint: asks the browser to keep the records, and takes in the ballast. */
  async settle(): Promise<Keeping> {
    const keeping = await askToKeep();
    const ballast = await takeBallast(this.store.connection);
    if (ballast.ok) return keeping;
    return { ...keeping, says: `${keeping.says} ${NO_RESERVE}` };
  }

  onOutdated(tell: () => void): () => void {
    return this.store.connection.onOutdated(tell);
  }

  /** Calls back when another tab has added to a job. */
  onJobs(tell: (job: string) => void): () => void {
    return listenForNews(tell).stop;
  }

  close(): void {
    this.#copy?.close();
    this.store.connection.close();
  }

  /** Every job kept here, the newest first. */
  async listJobs(): Promise<Result<readonly JobListing[]>> {
    const rows = await this.store.listJobs();
    if (!rows.ok) return rows;
    const back = await jobsBroughtBack(this.store.connection);
    if (!back.ok) return back;
    const listed: JobListing[] = [];
    for (const row of rows.value) {
      const site = await this.#siteOf(row.job);
      if (!site.ok) return site;
      listed.push({
        ...row,
        ...(site.value === null ? {} : { site: site.value }),
        ...(back.value[row.job] === row.count ? { broughtBack: true } : {}),
      });
    }
    return done(listed);
  }

  async #siteOf(job: string): Promise<Result<string | null>> {
    const rows = await this.store.disclosuresOf(job);
    if (!rows.ok) return rows;
    for (const row of rows.value) {
      const read = readDisclosure(row.disclosure, purePrimitives);
      if (!read.ok || read.value.name !== 'site') continue;
      if (typeof read.value.value === 'string') return done(read.value.value);
    }
    return done(null);
  }

  /** The people of this device and their keys. */
  async people(): Promise<Result<readonly DevicePerson[]>> {
    const people = await this.store.listPeople();
    const keys = await publicKeys(this.store.connection);
    if (!people.ok) return people;
    if (!keys.ok) return keys;
    return done(
      people.value.map((person) => {
        const key = keys.value.find((each) => each.person === person.id);
        return key === undefined ? person : { ...person, key };
      }),
    );
  }

  /** Keeps a person here and makes their signing key, once. */
  enrol(person: PersonRow, enrolledBy: string): Promise<Result<PublicKey>> {
    return enrol(this.store.connection, person, enrolledBy);
  }

  /**
   * Opens a new job. Everybody who acts on this device has to be enrolled before.
   * @param start.checklist the file as written
   * @param start.by the person who opens it, one of `order.people`
   */
  async startJob(start: {
    readonly checklist: string;
    readonly order: OpenOrder;
    readonly by: string;
  }): Promise<Started> {
    const loaded = await readChecklistText(start.checklist);
    if (!loaded.ok) return notStarted(loaded.trouble);
    const jobs = await this.store.listJobs();
    if (!jobs.ok) return notStarted(jobs.trouble);
    const [before] = jobs.value;
    const previous =
      before === undefined ? {} : { previous: { job: before.job, head: before.head } };
    const session = new JobSession(freshUuid(), loaded.value, start.by, this.#ground());
    const begun = await session.begin();
    const opened = begun.ok
      ? await session.submit({ ...start.order, ...previous })
      : { accepted: false, refusals: [], trouble: begun.trouble };
    if (!opened.accepted) {
      session.close();
      const { refusals, trouble } = opened;
      return trouble === undefined ? { ok: false, refusals } : { ok: false, refusals, trouble };
    }
    if (this.#acquaintance.kind === 'emptied') {
      session.note(
        `the records of this device, kept since ${this.#acquaintance.since}, were gone when the program was opened`,
      );
    }
    return { ok: true, session };
  }

  /** Takes up a stored job: `unknown-job`, `damaged`, `unknown-checklist` if not. */
  async openJob(job: string): Promise<Result<JobSession>> {
    const stored = await this.store.readJob(job);
    if (!stored.ok) return stored;
    const kept = await this.store.readChecklist(stored.value.row.checklist);
    if (!kept.ok) return kept;
    const loaded = keptChecklist(kept.value, job);
    if (!loaded.ok) return loaded;
    const session = new JobSession(job, loaded.value, stored.value.row.lastBy, this.#ground());
    const begun = await session.begin();
    if (begun.ok) {
      const back = await jobsBroughtBack(this.store.connection);
      const from = back.ok ? back.value[job] : undefined;
      if (from !== undefined && !isTold(session, BROUGHT_BACK, from)) session.note(BROUGHT_BACK);
      const signed = await signedRevision(this.store.connection, stored.value.row.checklist);
      const says = signed.ok && signed.value !== null ? signatureSays(signed.value) : undefined;
      if (says !== undefined && !isTold(session, says)) session.note(says);
      return done(session);
    }
    session.close();
    return begun;
  }

  /** The stored bytes of a photo, hashed again: `photo-missing` when they are gone or changed. */
  readPhoto(sha256: string): ReturnType<DeviceStore['readPhoto']> {
    return this.store.readPhoto(sha256);
  }

  /**
   * The evidence bag of a job, sealed by a person with a key here; `damaged`, `not-exported` if not.
   * @param wishes.withhold names of private values to leave out, such as `site`
   */
  async exportJob(
    job: string,
    wishes: Pick<BagWishes, 'by' | 'withhold' | 'photos' | 'language'>,
  ): Promise<Result<Download>> {
    const { exportBag } = await import('./export.ts');
    const { at } = this.#clock.now();
    return exportBag(this.store, job, { ...wishes, at, software: this.#program.app });
  }

  /** Takes a job up from a file of another device. */
  async takeUp(file: Blob): Promise<Result<TakenUp>> {
    const { takeUp } = await import('./take-up.ts');
    return takeUp(this.store, file);
  }

  /** The record folder of a job in a ZIP file. */
  async exportFolder(job: string): Promise<Result<Download>> {
    const { exportFolder } = await import('./export.ts');
    return exportFolder(this.store, job);
  }

  /** A job just as it is stored, unchecked: the way out when it is `damaged`. */
  async exportRaw(job: string): Promise<Result<Download>> {
    const { exportRaw } = await import('./export.ts');
    return exportRaw(this.store, job);
  }

  /** What the browser promised so far, without asking anything of the person. */
  lookAtKeeping(): Promise<Keeping> {
    return lookAtKeeping();
  }

  #ground(): Ground {
    return { store: this.store, clock: this.#clock, program: this.#program };
  }
}

const BROUGHT_BACK =
  'the browser had lost its store of records; this job was brought back from the second copy on this device';
const NO_RESERVE =
  'There is too little room for the reserve that lets entries through when the device is full: free some space soon.';

function isTold(session: JobSession, what: string, from = 0): boolean {
  return session.entries
    .slice(from)
    .some(({ event }) => event.type === 'program.noted' && event.body.what === what);
}

function notStarted(trouble: Trouble): Started {
  return { ok: false, refusals: [], trouble };
}
