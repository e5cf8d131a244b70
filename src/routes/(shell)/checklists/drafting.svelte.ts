/** One checklist in the editor: its text, what is wrong with it, its proof, its signature. */
import { compareChecklists, type Change } from '#lib/core/checklist/compare.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Checklist, Problem } from '#lib/core/checklist/model.ts';
import { reviewChecklist } from '#lib/core/checklist/review.ts';
import { readChecklistText } from '#lib/device/checklists.ts';
import type { Device, DevicePerson } from '#lib/device/device.ts';
import { keepOwnChecklist, type OwnChecklist } from '#lib/device/own-checklists.ts';
import { signedRevision, signRevision, type SignedRevision } from '#lib/device/signed-revisions.ts';
import { idFor } from '../jobs/ids.ts';
import { Proof } from './proof.svelte.ts';
import { wallNow } from './wall-now.ts';

export class Drafting {
  readonly #device: Device;
  readonly #own: boolean;
  #kept: OwnChecklist;
  #text: string = $state('');
  /** What can be drawn as a form: the last text that was readable. */
  checklist: Checklist | undefined = $state.raw();
  /** The text can be used as it stands. */
  usable = $state(false);
  problems: readonly Problem[] = $state.raw([]);
  advice: readonly Problem[] = $state.raw([]);
  signed: SignedRevision | null = $state.raw(null);
  people: readonly DevicePerson[] = $state.raw([]);
  trouble: string | undefined = $state();
  readonly proof = new Proof();

  constructor(device: Device, kept: OwnChecklist, own: boolean) {
    this.#device = device;
    this.#kept = kept;
    this.#own = own;
    this.#text = kept.text;
    this.#look();
  }

  get text(): string {
    return this.#text;
  }

  set text(text: string) {
    if (text === this.#text || !this.#own) return;
    this.#text = text;
    this.#look();
    void this.#keep({ ...this.#kept, text, changed: wallNow() });
  }

  /** The list whose accident is replayed against it: that of the shelf it came from, or itself. */
  get from(): string {
    return this.#kept.from ?? this.#kept.id;
  }

  /** What changed since the revision that was signed last here, or since the copy was made. */
  get changes(): readonly Change[] {
    const before = loadChecklist(this.#kept.before ?? '', 'form');
    if (!before.ok || this.checklist === undefined) return [];
    return compareChecklists(before.checklist, this.checklist);
  }

  async meet(): Promise<void> {
    const people = await this.#device.people();
    if (people.ok) this.people = people.value;
    else this.trouble = people.trouble.says;
    await this.#readSignature();
  }

  #look(): void {
    const loaded = loadChecklist(this.#text);
    this.usable = loaded.ok;
    this.problems = loaded.ok ? [] : loaded.problems;
    this.advice = loaded.ok
      ? reviewChecklist(loaded.checklist, loaded.places, { json: loaded.json })
      : [];
    const readable = loaded.ok ? loaded : loadChecklist(this.#text, 'form');
    if (readable.ok) {
      this.checklist = readable.checklist;
      this.proof.ask(this.#text);
    } else this.proof.stop();
    this.signed = null;
    void this.#readSignature();
  }

  async #keep(own: OwnChecklist): Promise<void> {
    const kept = await keepOwnChecklist(this.#device.store.connection, own);
    if (kept.ok) this.#kept = own;
    else this.trouble = kept.trouble.says;
  }

  async #readSignature(): Promise<void> {
    const text = this.#text;
    if (!this.usable) return;
    const read = await readChecklistText(text);
    if (!read.ok || text !== this.#text) return;
    const signed = await signedRevision(this.#device.store.connection, read.value.row.sha256);
    if (text !== this.#text) return;
    if (signed.ok) this.signed = signed.value;
    else this.trouble = signed.trouble.says;
  }

  /** @param who id of a person known here, or empty with a new name */
  async sign(place: string, who: string, name: string): Promise<void> {
    const read = await readChecklistText(this.#text);
    if (!read.ok) {
      this.trouble = read.trouble.says;
      return;
    }
    const { connection } = this.#device.store;
    let by = who;
    if (by === '') {
      by = idFor(name, this.people);
      const enrolled = await this.#device.enrol({ id: by, name: name.trim(), competence: [] }, by);
      if (!enrolled.ok) {
        this.trouble = enrolled.trouble.says;
        return;
      }
    }
    const { sha256, id, revision } = read.value.row;
    const at = wallNow();
    const statement = { checklist: sha256, id, revision, place: place.trim(), by, at };
    const signed = await signRevision(connection, statement);
    if (!signed.ok) {
      this.trouble = signed.trouble.says;
      return;
    }
    this.signed = signed.value;
    if (this.#own) await this.#keep({ ...this.#kept, before: this.#text });
    await this.meet();
  }
}
