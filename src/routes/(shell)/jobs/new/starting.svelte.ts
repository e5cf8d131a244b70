/** A job about to be opened: where, who, with which meter; every default is what was used last. */
import type { Instrument } from '#lib/core/job/events.ts';
import type { Refusal } from '#lib/core/job/refusal.ts';
import { readChecklistText } from '#lib/device/checklists.ts';
import type { Connection } from '#lib/device/connection.ts';
import type { DevicePerson } from '#lib/device/device.ts';
import { signedRevision } from '#lib/device/signed-revisions.ts';
import * as m from '#lib/ui/paraglide/messages.js';
import { checklistText } from '../../checklist-texts.ts';
import type { ShelfEntry } from '../../checklists.ts';
import { remember, remembered, thisDevice } from '../../this-device.ts';
import { idFor } from '../ids.ts';
import { whyUnfit } from './fit.ts';
import { keepMeter, keptChecks, keptMeters, Kept } from '../kept.ts';

const NEW_METER: Instrument = {
  id: '',
  category: 'CAT III',
  volts: '600',
  due: '',
  percent: '1',
  counts: 3,
};

export class Starting {
  readonly entry: ShelfEntry;
  /** The file of a list that is not of the shelf. */
  readonly #own: string | undefined;
  /** Somebody has signed this very revision for use; undefined while that is looked up. */
  reviewed: boolean | undefined = $state();
  site = $state('');
  people: readonly DevicePerson[] = $state.raw([]);
  /** Id of a person known here, or empty for a new name. */
  who = $state('');
  name = $state('');
  meters: readonly Instrument[] = $state.raw(keptMeters());
  readonly checks = keptChecks();
  meter = $state(keptMeters()[0]?.id ?? '');
  card: Instrument = $state.raw(NEW_METER);
  busy = $state(false);
  refusals: readonly Refusal[] = $state.raw([]);
  /** Why the chosen meter may not be used in this place, in words. */
  unfit: readonly string[] = $state.raw([]);
  trouble: string | undefined = $state();
  readonly #kept = new Kept();

  constructor(entry: ShelfEntry, own?: string) {
    this.entry = entry;
    this.#own = own;
    this.site = this.#kept.place;
  }

  async meet(): Promise<void> {
    const device = await thisDevice();
    const people = device.ok ? await device.value.people() : device;
    if (!people.ok) {
      this.trouble = people.trouble.says;
      return;
    }
    if (device.ok) await this.#lookUpReview(device.value.store.connection);
    this.people = people.value;
    const last = remembered('who', '');
    this.who = (people.value.find(({ id }) => id === last) ?? people.value[0])?.id ?? '';
  }

  async #text(): Promise<string | undefined> {
    return this.#own ?? checklistText(this.entry.id);
  }

  async #lookUpReview(connection: Connection): Promise<void> {
    const text = await this.#text();
    const read = text === undefined ? undefined : await readChecklistText(text);
    if (read?.ok !== true) return;
    const signed = await signedRevision(connection, read.value.row.sha256);
    this.reviewed = signed.ok && signed.value !== null;
  }

  /** What is still to be said, in words; undefined when the job can be opened. */
  get missing(): string | undefined {
    if (this.site.trim() === '') return m.start_site_missing();
    if (this.who === '' && this.name.trim() === '') return m.start_who_missing();
    if (this.meter === '' && (this.card.id.trim() === '' || this.card.due === ''))
      return m.start_meter_missing();
    return undefined;
  }

  /** The id of the opened job, or undefined when it was not opened and `refusals` or `trouble` say why. */
  async open(): Promise<string | undefined> {
    this.busy = true;
    this.refusals = [];
    this.unfit = [];
    this.trouble = undefined;
    try {
      return await this.#open();
    } finally {
      this.busy = false;
    }
  }

  async #open(): Promise<string | undefined> {
    const text = await this.#text();
    const device = await thisDevice();
    if (!device.ok) return this.#failed(device.trouble.says);
    if (text === undefined) return this.#failed(m.start_no_list());
    const card = this.meters.find(({ id }) => id === this.meter) ?? this.card;
    this.unfit = await whyUnfit(card, text);
    if (this.unfit.length > 0) return this.#failed(undefined);
    // Holding the button is the person's own word that they are authorized for this list.
    const known = this.people.find(({ id }) => id === this.who);
    const before = known?.competence ?? [];
    const more = this.entry.competence.filter((each) => !before.includes(each));
    const competence = [...before, ...more];
    const name = known?.name ?? this.name.trim();
    const person = { id: known?.id ?? idFor(name, this.people), name, competence };
    const enrolled = await device.value.enrol(person, person.id);
    if (!enrolled.ok) return this.#failed(enrolled.trouble.says);
    const started = await device.value.startJob({
      checklist: text,
      by: person.id,
      order: { command: 'open', site: this.site.trim(), people: [person], instruments: [card] },
    });
    if (!started.ok) {
      this.refusals = started.refusals;
      return this.#failed(started.trouble?.says);
    }
    remember('who', person.id);
    keepMeter(card);
    this.#kept.place = this.site.trim();
    started.session.close();
    return started.session.job;
  }

  #failed(says: string | undefined): undefined {
    this.trouble = says;
    return undefined;
  }
}
