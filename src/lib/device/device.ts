/** This device: its people and keys, its clocks, and the jobs that are open on it, upon its records. */
import type { Order } from '#lib/core/job/commands.ts';
import type { Refusal } from '#lib/core/job/refusal.ts';
import { keptChecklist, readChecklistText } from './checklists.ts';
import { deviceClock, freshUuid } from './clock.ts';
import type { BagWishes, Download } from './export.ts';
import type { Ground } from './job-log.ts';
import { enrol, publicKeys, signerOf } from './keys.ts';
import type { PublicKey } from './keys.ts';
import { enrolWithPin, isShut } from './pin-hands.ts';
import type { PinEnrolment } from './pin-hands.ts';
import type { MarkPlace } from './known-device.ts';
import { openRecords, Records } from './records.ts';
import type { PersonRow } from './schema.ts';
import type { Program } from './seal-events.ts';
import { jobsBroughtBack } from './second-copy.ts';
import { JobSession } from './session.svelte.ts';
import { signatureSays, signedRevision } from './signed-revisions.ts';
import { DeviceStore } from './store.ts';
import type { TakenUp } from './take-up.ts';
import { done } from './trouble.ts';
import type { Result, Trouble } from './trouble.ts';

export type { JobListing } from './records.ts';

export interface DevicePerson extends PersonRow {
  /** Their key on this device. */
  readonly key?: PublicKey;
}

export type OpenOrder = Extract<Order, { readonly command: 'open' }>;

export type Started =
  | { readonly ok: true; readonly session: JobSession }
  | { readonly ok: false; readonly refusals: readonly Refusal[]; readonly trouble?: Trouble };

export class Device extends Records {
  readonly store: DeviceStore;
  readonly #clock = deviceClock();
  readonly #program: Program;

  /** The whole of what a job needs, upon the store that `records` has opened. */
  constructor(records: Records, program: Program) {
    super(records.opened);
    this.#program = program;
    this.store = new DeviceStore(this.connection);
    const { copy } = this.opened;
    if (copy !== null) this.store.giveUpCopies = () => copy.giveUpPhotos();
  }

  /** Opens the store of this browser and all that stands upon it; see `openRecords`. */
  static async open(
    program: Program,
    places?: readonly MarkPlace[],
    place?: Promise<IDBFactory | undefined>,
  ): Promise<Result<Device>> {
    const opened = await openRecords(places, place);
    return opened.ok ? done(new Device(opened.value, program)) : opened;
  }

  /** The people of this device and their keys. */
  async people(): Promise<Result<readonly DevicePerson[]>> {
    const people = await this.store.listPeople();
    const keys = await publicKeys(this.connection);
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
    return enrol(this.connection, person, enrolledBy);
  }

  /** Keeps a person here with a key that only their own PIN opens. */
  enrolWithPin(person: PersonRow, enrolment: PinEnrolment): Promise<Result<PublicKey>> {
    return enrolWithPin(this.connection, person, enrolment);
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
    if (this.acquaintance.kind === 'emptied') {
      session.note(
        `the records of this device, kept since ${this.acquaintance.since}, were gone when the program was opened`,
      );
    }
    return { ok: true, session };
  }

  /** Takes up a stored job: `unknown-job`, `damaged`, `unknown-checklist` if not. */
  async openJob(job: string): Promise<Result<JobSession>> {
    // The record itself is read once, by its session.
    const row = await this.store.readRow(job);
    if (!row.ok) return row;
    const kept = await this.store.readChecklist(row.value.checklist);
    if (!kept.ok) return kept;
    const loaded = keptChecklist(kept.value, job);
    if (!loaded.ok) return loaded;
    const session = new JobSession(job, loaded.value, row.value.lastBy, this.#ground());
    const begun = await session.begin();
    if (begun.ok) {
      session.actAs(await this.#whoGoesOn(session, row.value.lastBy));
      const back = await jobsBroughtBack(this.connection);
      const from = back.ok ? back.value[job] : undefined;
      if (from !== undefined && !isTold(session, BROUGHT_BACK, from)) session.note(BROUGHT_BACK);
      const signed = await signedRevision(this.connection, row.value.checklist);
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

  /** Who holds this device for a job, so that a page that is loaded again does not take it for another. */
  holds(job: string, person: string): Promise<Result<void>> {
    return this.store.saveSetting(holderOf(job), person);
  }

  /**
   * Who goes on: whoever held the device, or acted last. Nobody whose hand waits for a PIN while another
   * one here is open, because down tools must never wait for one.
   */
  async #whoGoesOn(session: JobSession, lastBy: string): Promise<string> {
    const open = async (person: string) => (await signerOf(this.connection, person)).ok;
    const shut = await isShut(this.connection, lastBy);
    if (!shut && !(await open(lastBy))) return lastBy;
    const { people } = session.view;
    const here = (id: string) =>
      people.some((each) => each.id === id && each.present) || !people.some((each) => each.present);
    const held = await this.store.readSetting(holderOf(session.job));
    const holder = held.ok && typeof held.value === 'string' ? held.value : lastBy;
    const by = session.entries.map(({ sealed }) => sealed.entry.by).toReversed();
    for (const person of [holder, ...(shut ? by : [])])
      if (here(person) && (await open(person))) return person;
    return lastBy;
  }

  #ground(): Ground {
    return { store: this.store, clock: this.#clock, program: this.#program };
  }
}

const holderOf = (job: string) => `holder/${job}`;

const BROUGHT_BACK =
  'the browser had lost its store of records; this job was brought back from the second copy on this device';

function isTold(session: JobSession, what: string, from = 0): boolean {
  return session.entries
    .slice(from)
    .some(({ event }) => event.type === 'program.noted' && event.body.what === what);
}

function notStarted(trouble: Trouble): Started {
  return { ok: false, refusals: [], trouble };
}
