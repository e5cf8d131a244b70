/** One open job as its pages and components see it: the session of the device behind the desk of the UI. */
import type { Checklist } from '#lib/core/checklist/model.ts';
import type { Order } from '#lib/core/job/commands.ts';
import type { JobView } from '#lib/core/job/view-types.ts';
import { diagnosisOf, type JobDiagnosis } from '#lib/core/measure/findings.ts';
import type { Device } from '#lib/device/device.ts';
import type { Photo } from '#lib/device/photo.ts';
import { preparePhoto } from '#lib/device/photos.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import { BLURRED_BELOW } from '#lib/device/sharpness.ts';
import type { Answer, Desk, Entry, Judge, NewPhoto, Remembered, Submitted } from '#lib/ui/desk.ts';
import { awaySince, type Away } from '#lib/ui/job/coming-back.ts';
import { inLanguage } from '../../checklists.ts';
import { labelsOf, spoken } from './spoken.ts';
import { keepCheck, Kept } from '../kept.ts';
import { judgeWith } from './judge.ts';

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
  readonly remembered: Remembered = new Kept();
  readonly judge: Judge;

  constructor(device: Device, session: JobSession) {
    this.#device = device;
    this.session = session;
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
    this.judge = judgeWith((id) => session.view.instruments.find((card) => card.id === id));
  }

  get checklist(): Checklist {
    return this.#checklist;
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

  note = (what: string): void => this.session.note(what);

  nameOf = (person: string): string => this.session.disclosedAs(`name.${person}`) ?? person;

  inWords = (label: string): string => this.#labels.get(label) ?? label;

  goTo = (step?: string): void => {
    this.#shown = step;
  };

  async speak(language: string): Promise<void> {
    this.#checklist = await inLanguage(this.session.checklist, language);
  }

  async submit(order: Order): Promise<Submitted> {
    const named = JSON.stringify(order);
    const photos = Object.values(this.#waiting).filter(({ sha256 }) => named.includes(sha256));
    const submitted = await this.session.submit(order, { photos });
    const result = order.command === 'do' ? order.result : undefined;
    // Both checks were taken, or the step would not have been: the meter showed what is known.
    if (submitted.accepted && result?.before !== undefined && result.instrument !== undefined)
      keepCheck(result.instrument);
    if (submitted.accepted) for (const { sha256 } of photos) delete this.#waiting[sha256];
    return submitted;
  }

  async keepPhoto(picture: Blob): Promise<Answer<NewPhoto>> {
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
    this.session.close();
  }
}
