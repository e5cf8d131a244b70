/**
 * One job on this device, as the screen sees it.
 *
 * `submit` is the only road by which a job changes: stamp, decide, seal, store, and only then fold and
 * show. Invariant: what is shown is what the disk holds.
 */
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { Command, Order } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import type { JobEvent, Stamp } from '#lib/core/job/events.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { refusal } from '#lib/core/job/refusal.ts';
import type { Refusal } from '#lib/core/job/refusal.ts';
import { isEnded } from '#lib/core/job/state.ts';
import type { JobState } from '#lib/core/job/state.ts';
import type { JobView } from '#lib/core/job/view-types.ts';
import { viewOf } from '#lib/core/job/view.ts';
import { clockAfterEnd, erasures } from './afterword.ts';
import type { LoadedChecklist } from './checklists.ts';
import type { Now } from './clock.ts';
import { append, emptyLog, logOf, programChange } from './job-log.ts';
import type { Ground, JobLog } from './job-log.ts';
import { isNews, isOfficeNote, officeNote } from './office-note.ts';
import { passPen, penPassed, takePen } from './pen.ts';
import type { Photo } from './photo.ts';
import type { Disclosed, Recorded } from './read-job.ts';
import { done, standing } from './trouble.ts';
import type { Result, Trouble } from './trouble.ts';
import { claimWriter, listenForNews } from './writer.ts';
import type { News, Writer, WriterState } from './writer.ts';

export interface Submitted {
  readonly accepted: boolean;
  readonly refusals: readonly Refusal[];
  /** Set when nothing could be stored, whatever was decided. */
  readonly trouble?: Trouble;
}

export interface SubmitOptions {
  /** The photos that `order.result` names and that are not stored yet. */
  readonly photos?: readonly Photo[];
  /** Whose hand; the person who holds the device when absent. */
  readonly by?: string;
}

export class JobSession {
  readonly job: string;
  readonly #ground: Ground;
  #turn: Promise<unknown> = Promise.resolve();
  #writer: Writer | null = null;
  #news: News | null = null;
  /** To be told in the record with whatever is stored next. */
  #notes: readonly string[] = [];
  /** Seconds that this device is ahead of the office, to be told with whatever is stored next. */
  #ahead: number | null = null;

  #log: JobLog = $state.raw() as JobLog;
  #now: Now = $state.raw() as Now;
  #by: string = $state('');
  #writing: WriterState = $state('elsewhere');
  #passed: string | null = $state.raw(null);
  #trouble: Trouble | null = $state.raw(null);
  #saving: boolean = $state(false);
  /** Of its own, so that what follows it looks again when the list changes and not at every entry. */
  readonly #checklist: Checklist = $derived(this.#log.state.plan.checklist);
  readonly #view: JobView = $derived(viewOf(this.#log.state, this.#now, this.#by));

  constructor(job: string, loaded: LoadedChecklist, by: string, ground: Ground) {
    this.job = job;
    this.#ground = ground;
    this.#by = by;
    this.#now = ground.clock.now();
    this.#log = emptyLog(job, loaded);
  }

  get view(): JobView {
    return this.#view;
  }
  get state(): JobState {
    return this.#log.state;
  }
  /** The revision that the job runs on now. */
  get checklist(): Checklist {
    return this.#checklist;
  }
  /** What the record pins first: as checked, and as read from its file. */
  get opened(): LoadedChecklist {
    return this.#log.loaded;
  }
  /** The record so far, in order. */
  get entries(): readonly Recorded[] {
    return this.#log.entries;
  }
  /** Private values still kept, in order. */
  get disclosed(): readonly Disclosed[] {
    return this.#log.disclosed;
  }
  get now(): Now {
    return this.#now;
  }
  /** Who holds the device, by id. */
  get by(): string {
    return this.#by;
  }
  get writer(): WriterState {
    return this.#writing;
  }
  /** The last trouble with storing, until the next success or `forgive`. */
  get trouble(): Trouble | null {
    return this.#trouble;
  }
  /** When the pen was passed to another device, RFC 3339; null while it is here. */
  get passed(): string | null {
    return this.#passed;
  }
  get saving(): boolean {
    return this.#saving;
  }

  /** The newest private value of a name (`site`, `name.mara`), or null when it is not kept here. */
  disclosedAs(name: string): string | null {
    return this.disclosed.findLast((each) => each.name === name)?.value ?? null;
  }

  /** Takes the job up: asks to be its one writer and reads what is stored. */
  async begin(): Promise<Result<void>> {
    this.#ground.store.onBallastGiven = () => this.note(RESERVE_GIVEN);
    this.#news = listenForNews((job) => {
      if (job === this.job) void this.refresh();
    });
    this.#writer = await claimWriter(this.job, (state) => void this.#writerBecame(state));
    this.#writing = this.#writer.state;
    await this.#readPen();
    return this.#read();
  }

  async #readPen(): Promise<void> {
    const passed = await penPassed(this.#ground.store, this.job);
    if (passed.ok) this.#passed = passed.value;
  }

  /** Lets go of the job; another tab that waits for it gets it. */
  close(): void {
    this.#writer?.release();
    this.#news?.stop();
  }

  actAs(person: string): void {
    this.#by = person;
  }

  forgive(): void {
    this.#trouble = null;
  }

  /** Says something about the program or the device in the record, with the next entry that is stored. */
  note(what: string): void {
    this.#notes = [...this.#notes, what];
  }

  /** The wall clock was held against the office's, which it is ahead of by `seconds` (or behind, below 0). */
  heardOffice(seconds: number): void {
    const events = this.entries.map(({ event }) => event);
    this.#ahead = isNews(events, seconds, this.#now.boot) ? seconds : null;
  }

  /** Lets `now` run, so that waits and shelf lives move on the screen; returns how to stop it. */
  keepTime(everyMs = 1000): () => void {
    const timer = setInterval(() => (this.#now = this.#ground.clock.now()), everyMs);
    return () => clearInterval(timer);
  }

  /** Lets go of the pen, or takes it back without the other device; the record tells of the second. */
  async passPen(pass: boolean): Promise<void> {
    const { store } = this.#ground;
    const kept = pass
      ? await passPen(store, this.job, this.#ground.clock.now().at)
      : await takePen(store, this.job);
    if (!kept.ok) this.#trouble = kept.trouble;
    else if (!pass) this.note(TAKEN_BACK);
    await this.#readPen();
  }

  async takeOver(): Promise<void> {
    await this.#writer?.takeOver();
    this.note(TAKEN_OVER);
    await this.refresh();
  }

  /** Reads the job again, after what is under way; done by itself when another tab has added to it. */
  refresh(): Promise<void> {
    return this.#inTurn(async () => {
      const read = await this.#read();
      if (!read.ok) this.#trouble = read.trouble;
    });
  }

  /** Does what a person asks, or says why not; taken in the order of the taps and stamped at the tap. */
  submit(order: Order, { photos = [], by = this.#by }: SubmitOptions = {}): Promise<Submitted> {
    const read = parseCommand({ ...order, ...this.#ground.clock.now(), by });
    if (!read.ok) {
      const refusals = [refusal('bad-input', 'valueBad', { says: read.says })];
      return Promise.resolve({ accepted: false, refusals });
    }
    return this.#inTurn(async () => {
      this.#saving = true;
      try {
        const submitted = await this.#submit(read.command, photos);
        this.#trouble = submitted.trouble ?? null;
        return submitted;
      } finally {
        this.#saving = false;
        this.#now = this.#ground.clock.now();
      }
    });
  }

  async #submit(command: Command, photos: readonly Photo[]): Promise<Submitted> {
    if (this.#writing !== 'writing') return { accepted: false, refusals: [], ...ELSEWHERE };
    if (this.#passed !== null) return { accepted: false, refusals: [], ...PASSED };
    const { accepted, events, refusals } = decide(this.#log.state, command);
    if (events.length === 0) return { accepted, refusals };
    const notes = this.#notesFor(command);
    const all = [...clockAfterEnd(this.#log.state, command), ...withNotes(events, notes)];
    const trouble = await this.#store(command.by, all, photos);
    if (trouble !== null) return { accepted: false, refusals, trouble };
    this.#notes = this.#notes.filter((note) => !notes.some(({ body }) => body.what === note));
    if (notes.some(isOfficeNote)) this.#ahead = null;
    return { accepted, refusals };
  }

  async #store(
    by: string,
    events: readonly JobEvent[],
    photos: readonly Photo[],
  ): Promise<Trouble | null> {
    const stored = await append(this.#log, by, events, photos, this.#ground);
    if (stored.ok) {
      this.#log = stored.value;
      this.#news?.tell(this.job);
      return null;
    }
    const { trouble } = stored;
    if (trouble.code === 'moved') await this.#read();
    if (trouble.code === 'photo-full') this.note(PHOTO_NOT_STORED);
    return trouble;
  }

  /**
   * Forgets private values and photos of an ended job for good, by digest. The record keeps the digest,
   * when, by whom and why. Answers what stood in the way, if anything did.
   */
  erase(digests: readonly string[], why: string): Promise<Trouble | null> {
    const stamp = { ...this.#ground.clock.now(), by: this.#by };
    return this.#inTurn(async () => {
      if (this.#writing !== 'writing') return ELSEWHERE.trouble;
      if (this.#passed !== null) return PASSED.trouble;
      if (!isEnded(this.#log.state)) return standing('not-ended').trouble;
      const events = erasures(digests, why, stamp);
      const clocks = clockAfterEnd(this.#log.state, stamp);
      this.#trouble = await this.#store(stamp.by, [...clocks, ...events], []);
      this.#now = this.#ground.clock.now();
      return this.#trouble;
    });
  }

  #notesFor({ at, mono, boot, by }: Stamp): readonly NoteEvent[] {
    if (this.#log.row === null || isEnded(this.#log.state)) return [];
    const change = programChange(this.#log, this.#ground.program);
    const said = change === null ? this.#notes : [change, ...this.#notes];
    const stamp = { at, mono, boot, by };
    const clock = this.#ahead === null ? [] : [officeNote(this.#ahead, stamp)];
    return [
      ...clock,
      ...said.map((what): NoteEvent => ({ ...stamp, type: 'program.noted', body: { what } })),
    ];
  }

  async #read(): Promise<Result<void>> {
    const stored = await this.#ground.store.readJob(this.job);
    if (!stored.ok) {
      const isNew = this.#log.row === null && stored.trouble.code === 'unknown-job';
      return isNew ? done(undefined) : stored;
    }
    if (this.#log.row?.head === stored.value.row.head) return done(undefined);
    const read = logOf(stored.value, this.#log.loaded);
    if (!read.ok) return read;
    this.#log = read.value;
    this.#now = this.#ground.clock.now();
    return done(undefined);
  }

  async #writerBecame(state: WriterState): Promise<void> {
    // What the other tab stored has to be on the screen before anything can be tapped upon it.
    if (state === 'writing' && this.#log.row !== null) await this.refresh();
    this.#writing = state;
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const result = this.#turn.then(work);
    this.#turn = result.catch(() => {});
    return result;
  }
}

type NoteEvent = Extract<JobEvent, { readonly type: 'program.noted' | 'clock.noted' }>;

/** After what the clocks had to say, so that a restart stays the first thing told of a new run. */
function withNotes(events: readonly JobEvent[], notes: readonly JobEvent[]): readonly JobEvent[] {
  const act = events.findIndex(({ type }) => type !== 'clock.noted' && type !== 'fact.lapsed');
  const at = act === -1 ? events.length : act;
  return [...events.slice(0, at), ...notes, ...events.slice(at)];
}

const PASSED = { trouble: standing('pen-passed').trouble };
const ELSEWHERE = { trouble: standing('elsewhere').trouble };
const RESERVE_GIVEN =
  'the device was full: its reserve was given up so that entries can still be stored';
const PHOTO_NOT_STORED = 'the device was full: a photo could not be stored';
const TAKEN_BACK =
  'the pen was taken back on this device without a file from the one that it was passed to';
const TAKEN_OVER = 'the job was taken over from another tab or window of this device';
