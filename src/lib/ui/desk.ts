/** What every component of an open job may ask for. Pages fill it in; components hold no rules. */
import { createContext } from 'svelte';
import type { Change } from '#lib/core/checklist/compare.ts';
import type { Checklist, QuantityName, Step } from '#lib/core/checklist/model.ts';
import type { Instrument, JobEvent, MeterCheck } from '#lib/core/job/events.ts';
import type { Order } from '#lib/core/job/commands.ts';
import type { Refusal } from '#lib/core/job/refusal.ts';
import type { JobView } from '#lib/core/job/view-types.ts';
import type { ComeBack, Watch } from './job/come-back.ts';
import type { Late } from './job/late.ts';
import type { PrivateValue } from './privacy/choice.ts';
import type { AcceptOne } from '#lib/core/measure/accept.ts';
import type { ContactsInput, ContactsVerdict } from '#lib/core/measure/contacts.ts';
import type { JobDiagnosis } from '#lib/core/measure/findings.ts';
import type { Scale } from '#lib/core/measure/scale.ts';
import type { Beep, Found } from '#lib/core/measure/terminal-finder.ts';
import type { ReadingVerdict } from '#lib/core/measure/verdict.ts';
import type { Away } from './job/coming-back.ts';
import type { LimitOrigin } from '#lib/core/checklist/model.ts';

/** A photo just taken, before any entry names it. */
export interface NewPhoto {
  readonly sha256: string;
  readonly blurred: boolean;
}

export type Answer<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly trouble: { readonly says: string } };

export interface Submitted {
  readonly accepted: boolean;
  readonly refusals: readonly Refusal[];
  readonly trouble?: { readonly says: string };
}

export interface ReadingAsked {
  readonly value: string;
  readonly unit: string;
  readonly accept: AcceptOne;
  readonly quantity: QuantityName;
  readonly instrument: string;
  readonly origin?: LimitOrigin | undefined;
}

export interface Judged {
  readonly verdict: ReadingVerdict;
  readonly scale: Scale | null;
}

/** The arithmetic of `core/measure`, handed in. */
export interface Judge {
  reading(asked: ReadingAsked): Judged;
  contacts(input: ContactsInput): ContactsVerdict;
  /** Which terminal is which, from the beeps so far; it says which pair to probe next. */
  terminals(count: 3 | 4, beeps: readonly Beep[]): Found;
  /** Whether the meter shows what is known to be there. */
  meter(check: MeterCheck): boolean;
  /** What a metal case has to stay below. */
  readonly caseBelow: string;
  /** Amount of a quantity text such as `340 V` in its own unit, or null. */
  amount(text: string): { readonly number: string; readonly unit: string } | null;
}

/** What was entered before on this device, offered again. */
export interface Remembered {
  instrument: string;
  lock: string;
  known: string;
  place: string;
}

export interface Entry {
  readonly seq: number;
  readonly event: JobEvent;
}

/** The camera while its picture is on the screen. */
export interface LiveCamera {
  readonly stream: MediaStream;
  readonly lamp: boolean;
  light(on: boolean): Promise<boolean>;
  stop(): void;
}

/** A newer revision of the job's list, signed for use. */
export interface Newer {
  readonly revision: number;
  /** The language of its own words. */
  readonly language: string;
  readonly signed: { readonly place: string; readonly by: string; readonly at: string };
  readonly changes: readonly Change[];
  readonly order: Omit<Extract<Order, { readonly command: 'rebase' }>, 'why'>;
  /** What the record says of the signature. */
  readonly note: string;
}

export interface Desk {
  /** In the language of the reader; ids and figures are the same in every language. */
  readonly checklist: Checklist;
  /** The language that the list was written in; publications are cited in it whatever the reader’s is. */
  readonly ownLanguage: string;
  readonly view: JobView;
  /** What is still suspected; null for a list without suspects. */
  readonly diagnosis: JobDiagnosis | null;
  /** Who holds the device. */
  readonly me: string;
  readonly site: string;
  readonly judge: Judge;
  readonly remembered: Remembered;
  /** The come-back clock of this job on this device, while one runs. */
  comeBack: ComeBack | undefined;
  /** Who besides this device goes by that clock. */
  readonly watch: Watch;
  /** While steps are written in from paper. */
  late: Late | undefined;
  /** The record so far, in order. */
  readonly entries: readonly Entry[];
  /** A newer revision that the job can go over to. */
  readonly newer: Newer | undefined;
  /** Left alone for a while, and nobody has said yet what happened meanwhile. */
  readonly away: Away | undefined;
  leftAlone(away: Away | undefined): void;
  /** Says something in the record, in its language, with the next entry that is stored. */
  note(what: string): void;
  nameOf(person: string): string;
  /** A private value that an entry keeps as a digest only (`told`, `owner`), while it is kept here. */
  privately(seq: number, name: string): string | undefined;
  /** Every private value that is still kept here, in order. */
  readonly privateValues: readonly PrivateValue[];
  /** Photos that the record names and that were not erased, by digest. */
  readonly photos: readonly string[];
  /** Forgets private values or photos of an ended job for good; says what stood in the way. */
  erase(digests: readonly string[], why: string): Promise<string | undefined>;
  /** A label of the job's own checklist as the reader's words have it. */
  inWords(label: string): string;
  /** @param by whose word it is, where it is not that of who holds the device */
  submit(order: Order, by?: string): Promise<Submitted>;
  /** Whether somebody's word takes their own PIN on this device. */
  hasPin(person: string): boolean;
  /** Has somebody give their PIN where it takes one; it then counts for what is submitted next by them. */
  ownHand(person: string): Promise<boolean>;
  /** Nothing was submitted after all: it takes their PIN again. */
  letGo(person: string): Promise<void>;
  /** The job's list in a language; in its own where it is not translated. */
  checklistIn(language: string): Promise<Checklist>;
  /** The language that somebody reads, as they said on this device. */
  languageOf(person: string): string | undefined;
  reads(person: string, language: string): void;
  /** Keeps a picture until an entry names it. */
  keepPhoto(picture: Blob | HTMLVideoElement): Promise<Answer<NewPhoto>>;
  /** Whether the device says that it has a camera; pictures from files are taken either way. */
  readonly hasCamera: boolean;
  openCamera(): Promise<Answer<LiveCamera>>;
  /** An address for an `<img>`, or undefined when the photo is not on this device. */
  photoUrl(sha256: string): Promise<string | undefined>;
  /** Shows a step; without one, the step that is due. */
  goTo(step?: string): void;
}

export const [useDesk, provideDesk] = createContext<Desk>();

export function stepOf(checklist: Checklist, id: string): Step | undefined {
  return checklist.steps.find((step) => step.id === id);
}

/** The instrument to offer first: the one used last, else the first without doubt. */
export function likelyInstrument(desk: Desk): string {
  const fit = desk.view.instruments.filter(({ doubted }) => !doubted);
  const last = fit.find(({ id }) => id === desk.remembered.instrument);
  return (last ?? fit[0] ?? desk.view.instruments[0])?.id ?? '';
}

export type { Instrument };
