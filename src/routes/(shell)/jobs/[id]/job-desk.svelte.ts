/** One open job as its pages and components see it: the session of the device behind the desk of the UI. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { Order } from '#lib/core/job/commands.ts';
import type { JobView } from '#lib/core/job/view-types.ts';
import { hasCamera, openCamera } from '#lib/device/camera.ts';
import { diagnosisOf, type JobDiagnosis } from '#lib/core/measure/findings.ts';
import type { Connection } from '#lib/device/connection.ts';
import type { Device } from '#lib/device/device.ts';
import type { Photo } from '#lib/device/photo.ts';
import { settleFork } from '#lib/device/pen.ts';
import { ownKeyOf } from '#lib/device/joining.ts';
import { preparePhoto } from '#lib/device/photos.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import type { Expected, Watch } from '#lib/device/sync/office-watch.ts';
import { photosKept } from '#lib/device/afterword.ts';
import { BLURRED_BELOW } from '#lib/device/sharpness.ts';
import type {
  Answer,
  Desk,
  Entry,
  Judge,
  Newer,
  LiveCamera,
  NewPhoto,
  Remembered,
  Submitted,
} from '#lib/ui/desk.ts';
import { awaySince, type Away } from '#lib/ui/job/coming-back.ts';
import { inLanguage } from '../../checklist-texts.ts';
import { labelsOf, spoken } from './spoken.ts';
import type { PrivateValue } from '#lib/ui/privacy/choice.ts';
import * as m from '#lib/ui/paraglide/messages.js';
import { dueAt, readComeBack, type ComeBack } from '#lib/ui/job/come-back.ts';
import type { Late } from '#lib/ui/job/late.ts';
import { remember, remembered } from '../../this-device.ts';
import { keepCheck, keepLanguage, Kept, languagesRead } from '../kept.ts';
import { forkNote, openFork, type OpenFork } from './fork.ts';
import { Hands } from './hands.svelte.ts';
import { judgeWith } from './judge.ts';
import { newerRevision } from './newer.ts';
import { OfficeWatching } from './office-watching.svelte.ts';

/** A person of this device with the key made here. */
interface Keyed {
  readonly id: string;
  readonly key?: { readonly thumbprint: string };
}

export class JobDesk implements Desk {
  readonly session: JobSession;
  readonly #device: Device;
  /** Taken, and not yet named by an entry. */
  readonly #waiting: Record<string, Photo> = {};
  readonly #urls: Record<string, string> = {};
  #checklist: Checklist = $state.raw() as Checklist;
  readonly #entries: readonly Entry[];
  readonly #labels: ReadonlyMap<string, string>;
  readonly #view: JobView;
  readonly #diagnosis: JobDiagnosis | null;
  #shown: string | undefined = $state();
  #away: Away | undefined = $state.raw();
  #late: Late | undefined = $state.raw();
  #comeBack: ComeBack | undefined = $state.raw();
  readonly #watching: OfficeWatching;
  #fork: OpenFork | undefined = $state.raw();
  #newer: Newer | undefined = $state.raw();
  #hasCamera: boolean = $state(false);
  readonly remembered: Remembered = new Kept();
  readonly hands: Hands;
  readonly judge: Judge;

  constructor(device: Device, session: JobSession) {
    this.#device = device;
    this.session = session;
    this.hands = new Hands(device.connection);
    this.#comeBack = readComeBack(remembered(`come-back.${session.job}`, null));
    this.#watching = new OfficeWatching(device, session.job, () => this.#expected());
    this.#checklist = session.checklist;
    this.#labels = $derived(labelsOf(session.checklist, this.#checklist));
    this.#view = $derived(spoken(session.view, this.inWords));
    this.#diagnosis = $derived(diagnosisOf(this.#checklist, session.view.steps));
    this.#entries = $derived(
      session.entries.map(({ sealed, event }) => ({ seq: sealed.entry.seq, event })),
    );
    const last = session.entries.at(-1)?.event;
    const { at, boot } = session.now;
    if (last !== undefined && session.view.status === 'atWork')
      this.#away = awaySince(last.at, Date.parse(at), last.boot !== boot);
    void hasCamera().then((found) => (this.#hasCamera = found));
    this.judge = judgeWith((id) => session.view.instruments.find((card) => card.id === id));
  }

  get connection(): Connection {
    return this.#device.connection;
  }
  get hasCamera(): boolean {
    return this.#hasCamera;
  }
  get checklist(): Checklist {
    return this.#checklist;
  }
  get ownLanguage(): string {
    return this.session.checklist.language;
  }
  get view(): JobView {
    return this.#view;
  }
  get diagnosis(): JobDiagnosis | null {
    return this.#diagnosis;
  }
  get me(): string {
    return this.session.by;
  }
  get site(): string {
    return this.session.disclosedAs('site') ?? '';
  }
  get entries(): readonly Entry[] {
    return this.#entries;
  }
  /** The step that the person chose to look at, if any. */
  get shown(): string | undefined {
    return this.#shown;
  }

  get away(): Away | undefined {
    return this.#away;
  }

  leftAlone = (away: Away | undefined): void => {
    this.#away = away;
  };

  nameOf = (person: string): string =>
    this.session.disclosedAs(`name.${person}`) ?? this.#nameAtJoining(person) ?? person;

  /** Whoever joined later said their name with that entry. */
  #nameAtJoining(person: string): string | undefined {
    const joined = this.#entries.findLast(
      ({ event }) => event.type === 'person.joined' && event.body.person === person,
    );
    return joined === undefined ? undefined : this.privately(joined.seq, 'name');
  }

  privately = (seq: number, name: string): string | undefined =>
    this.session.disclosed.find((each) => each.seq === seq && each.name === name)?.value;

  get privateValues(): readonly PrivateValue[] {
    return this.session.disclosed;
  }

  get photos(): readonly string[] {
    return photosKept(this.session.entries);
  }

  erase = async (digests: readonly string[], why: string): Promise<string | undefined> => {
    const trouble = await this.session.erase(digests, why);
    if (trouble !== null) return trouble.says;
    for (const digest of digests) {
      URL.revokeObjectURL(this.#urls[digest] ?? '');
      delete this.#urls[digest];
    }
    return undefined;
  };

  note = (what: string): void => this.session.note(what);

  inWords = (label: string): string => this.#labels.get(label) ?? label;

  goTo = (step?: string): void => {
    this.#shown = step;
  };

  get late(): Late | undefined {
    return this.#late;
  }
  set late(late: Late | undefined) {
    this.#late = late;
  }

  get comeBack(): ComeBack | undefined {
    return this.#comeBack;
  }
  set comeBack(clock: ComeBack | undefined) {
    this.#comeBack = clock;
    remember(`come-back.${this.session.job}`, clock ?? null);
    this.#watching.tell();
  }
  get watch(): Watch {
    return this.#watching.watch;
  }

  /** What the office is to know; of a demonstration, nothing. */
  #expected(): Expected | null {
    if (this.session.view.demo) return null;
    const { job, by: person } = this.session;
    const clock = this.#comeBack;
    return { person, job, place: this.site, due: clock === undefined ? null : dueAt(clock) };
  }

  /** What another device wrote while this one did, until somebody has looked at it. */
  get fork(): OpenFork | undefined {
    return this.#fork;
  }

  get newer(): Newer | undefined {
    return this.#newer;
  }

  async lookForNewer(): Promise<void> {
    this.#newer = await newerRevision(this.#device.connection, this.session);
  }

  async lookForFork(): Promise<void> {
    this.#fork = await openFork(this.#device.store, this.session);
  }

  /** Both were looked at: the reading with less energy wins, so nothing here counts as dead any more. */
  async settleFork(): Promise<void> {
    const fork = this.#fork;
    if (fork === undefined) return;
    this.session.note(forkNote(fork));
    const lapsed = await this.session.submit({ command: 'lapse', what: 'reEnergized' });
    if (!lapsed.accepted) return;
    await settleFork(this.#device.store, this.session.job);
    await this.lookForFork();
  }

  #keyOf(person: string): string | undefined {
    return this.session.entries.findLast(({ sealed }) => sealed.entry.by === person)?.sealed.entry
      .key;
  }

  /** Whether this person signed here before with a key that is not the one of this device. */
  signedElsewhere(person: string, known: readonly Keyed[]): boolean {
    const used = this.#keyOf(person);
    const here = known.find(({ id }) => id === person)?.key?.thumbprint;
    return used !== undefined && used !== here && ownKey(this.#entries, person) !== here;
  }

  /** Somebody else takes the device, with their PIN where they have one; whether they did. */
  actAs = async (person: string): Promise<boolean> => {
    if (!(await this.hands.open(person))) return false;
    const before = this.me;
    this.session.actAs(person);
    await this.#device.holds(this.session.job, person);
    await this.hands.keepOpen(person);
    if (before !== person) await this.hands.shut(before);
    return true;
  };

  ownHand = (person: string): Promise<boolean> => this.hands.open(person);
  hasPin = (person: string): boolean => this.hands.hasPin(person);
  letGo = async (person: string): Promise<void> => {
    if (person !== this.me) await this.hands.shut(person);
  };

  signsHere(person: string, known: readonly Keyed[]): boolean {
    return known.some(({ id }) => id === person) && !this.signedElsewhere(person, known);
  }

  async speak(language: string): Promise<void> {
    this.#checklist = await this.checklistIn(language);
  }

  checklistIn = (language: string): Promise<Checklist> =>
    inLanguage(this.session.checklist, language);

  languageOf = (person: string): string | undefined => languagesRead()[person];
  reads = (person: string, language: string): void => keepLanguage(person, language);

  async submit(asked: Order, by = this.me): Promise<Submitted> {
    if (!(await this.hands.open(by))) {
      const says = m.pin_not_given({ name: this.nameOf(by) });
      return { accepted: false, refusals: [], trouble: { says } };
    }
    const submitted = await this.#submit(asked, by);
    await this.letGo(by);
    return submitted;
  }

  async #submit(asked: Order, by: string): Promise<Submitted> {
    const late = asked.command === 'do' ? this.#late : undefined;
    const order = late === undefined || asked.command !== 'do' ? asked : written(asked, late);
    const named = JSON.stringify(order);
    const photos = Object.values(this.#waiting).filter(({ sha256 }) => named.includes(sha256));
    const submitted = await this.session.submit(order, { photos, by });
    const result = order.command === 'do' ? order.result : undefined;
    // Both checks were taken, or the step would not have been: the meter showed what is known.
    if (submitted.accepted && result?.before !== undefined && result.instrument !== undefined)
      keepCheck(result.instrument);
    if (submitted.accepted && order.command === 'rebase') await this.lookForNewer();
    if (submitted.accepted) for (const { sha256 } of photos) delete this.#waiting[sha256];
    // What was proved when the paper was written is not proved now.
    if (submitted.accepted && late !== undefined && order.command === 'do') {
      const { step } = order;
      const keeps = this.session.view.steps.find(({ id }) => id === step)?.keepsMs !== undefined;
      if (keeps) await this.session.submit({ command: 'lapse', what: 'time', step });
    }
    return submitted;
  }

  readonly openCamera = (): Promise<Answer<LiveCamera>> => openCamera();

  async keepPhoto(picture: Blob | HTMLVideoElement): Promise<Answer<NewPhoto>> {
    const prepared = await preparePhoto(picture);
    if (!prepared.ok) return prepared;
    const { sha256, sharpness } = prepared.value;
    this.#waiting[sha256] = prepared.value;
    return { ok: true, value: { sha256, blurred: sharpness < BLURRED_BELOW } };
  }

  photoUrl = async (sha256: string): Promise<string | undefined> => {
    const known = this.#urls[sha256];
    if (known !== undefined) return known;
    const bytes = this.#waiting[sha256]?.bytes ?? (await this.#stored(sha256));
    if (bytes === undefined) return undefined;
    const url = URL.createObjectURL(new Blob([bytes.slice()], { type: 'image/jpeg' }));
    this.#urls[sha256] = url;
    return url;
  };

  async #stored(sha256: string): Promise<Uint8Array | undefined> {
    const read = await this.#device.store.readPhoto(sha256);
    return read.ok ? read.value.bytes : undefined;
  }

  close(): void {
    for (const url of Object.values(this.#urls)) URL.revokeObjectURL(url);
    this.#watching.close();
    this.session.close();
  }
}

/** The key of their own device, of somebody who joined by a code. */
function ownKey(entries: readonly Entry[], person: string): string | undefined {
  const hand = entries.findLast(
    ({ event }) => event.type === 'person.joined' && event.body.person === person,
  )?.event.body;
  return hand !== undefined && 'hand' in hand && hand.hand?.by === 'code'
    ? ownKeyOf(hand.hand)
    : undefined;
}

/** The same order as a late entry: when it was done, and the paper among its pictures. */
function written(order: Order & { readonly command: 'do' }, { acted, photos }: Late): Order {
  const own = order.result.photos ?? [];
  return { ...order, acted, result: { ...order.result, photos: [...own, ...photos] } };
}
