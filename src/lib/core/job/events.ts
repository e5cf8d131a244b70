/**
 * What happened: the closed union of facts that a job's record is made of.
 *
 * An event is an entry of the record without its seal. `body` holds only what may stand in the open
 * for ever; `private` holds values (names, addresses) that the record keeps as salted digests and that
 * may be withheld or erased later, so nothing that decides may ever read them.
 *
 * Measured values are decimal strings beside their unit, exactly as entered.
 */
import type { Lapse } from '../checklist/model.ts';
import type { RevisionEdit } from '../checklist/revision-edits.ts';
import type { MeterRange } from '../measure/meter-ranges.ts';
import type { RefusalCode } from './refusal.ts';

export interface Instrument {
  readonly id: string;
  readonly category: string;
  readonly volts: string;
  /** Calibration due, `YYYY-MM-DD`. */
  readonly due: string;
  readonly percent: string;
  readonly counts: number;
  /** Accuracy by range, as the data sheet gives it. */
  readonly ranges?: readonly MeterRange[];
}

export interface Person {
  readonly id: string;
  readonly competence: readonly string[];
}

/** A value as entered: decimal text or one of the words `OL`, `unstable`, `not taken`. */
export interface Shown {
  readonly value: string;
  readonly unit: string;
}

export interface MeterCheck {
  readonly expected: string;
  readonly shown: string;
  readonly unit: string;
}

/** Proof of dead, or a case test: known source, every pair, known source again. */
export interface PairsResult {
  readonly pairs: Readonly<Record<string, Shown>>;
  readonly before: MeterCheck;
  readonly after?: MeterCheck;
  readonly instrument: string;
}

export interface ReadingResult {
  readonly value: string;
  readonly unit: string;
  readonly instrument?: string;
  readonly verdict?: string;
  readonly low?: string;
  readonly high?: string;
  readonly says?: string;
}

export interface ContactsResult {
  readonly rest: string;
  readonly pressed: string;
  readonly name?: string;
  readonly says?: string;
}

export interface ConnectorLabel {
  readonly id: string;
  readonly label: string;
  readonly terminal: string;
  readonly wire?: string;
  /** Where on the photo: thousandths of its width and height, and the photo's digest. */
  readonly pin?: { readonly photo: string; readonly x: number; readonly y: number };
}

/** What a step left behind, by its kind; optional photos (digests of stored bytes) for every kind. */
export interface StepResult {
  readonly photos?: readonly string[];
  readonly sources?: number;
  readonly option?: string;
  readonly operated?: string;
  readonly lock?: string;
  readonly tag?: string;
  /** For a tag without a lock: the one further measure. */
  readonly measure?: string;
  readonly value?: string;
  readonly unit?: string;
  readonly instrument?: string;
  readonly pairs?: Readonly<Record<string, Shown>>;
  readonly before?: MeterCheck;
  readonly after?: MeterCheck;
  readonly rest?: string;
  readonly pressed?: string;
  readonly connectors?: readonly ConnectorLabel[];
  readonly connector?: string;
  readonly people?: readonly string[];
  readonly tools?: number;
  readonly language?: string;
  readonly told?: readonly string[];
  readonly directory?: string;
  readonly position?: string;
  /** The computed judgement of a reading or of contacts. */
  readonly verdict?: string;
  readonly low?: string;
  readonly high?: string;
  readonly says?: string;
}

/**
 * By whose hand somebody joined: `pin`, with a key on this device that only their own PIN opens; `code`,
 * with such a key too, which a key on their own device has vouched for (`record/joining.ts`). Evidence
 * for a verifier; nothing that decides reads it.
 */
export type JoinedHow =
  | { readonly by: 'pin' }
  | {
      readonly by: 'code';
      readonly own: string;
      readonly nonce: string;
      readonly until: string;
      readonly signature: string;
    };

export interface LeftOpen {
  readonly end: string;
  readonly insulated: boolean;
  readonly why: string;
}

export interface EventBodies {
  'job.opened': {
    readonly checklist: { readonly id: string; readonly revision: number; readonly sha256: string };
    readonly people: readonly Person[];
    readonly instruments: readonly Instrument[];
    readonly demo: boolean;
    /** The job before this one on the device, and the last hash of its record. */
    readonly previous?: { readonly job: string; readonly head: string };
  };
  'person.joined': {
    readonly person: string;
    readonly competence: readonly string[];
    /** Absent where they joined by name alone. */
    readonly hand?: JoinedHow;
  };
  'person.left': { readonly person: string; readonly locks: readonly string[] };
  'caution.read': { readonly step: string };
  /** `part` marks the first of two hands (`twice`), or a disconnect that has not reached its least number. */
  'step.done': {
    readonly step: string;
    readonly result: StepResult;
    readonly acted?: string;
    readonly part?: boolean;
  };
  /** `applies: false` when the step's `when` does not hold. */
  'step.notDone': { readonly step: string; readonly why: string; readonly applies: boolean };
  'step.corrected': { readonly step: string; readonly why: string };
  'try.refused': {
    readonly command: string;
    readonly step?: string;
    readonly codes: readonly RefusalCode[];
    readonly says: readonly string[];
    /** What was offered, kept as evidence where it was a measurement. */
    readonly result?: StepResult;
    /** A source that the try showed to be live, or an instrument that failed its check. */
    readonly live?: string;
    readonly caseLive?: string;
    readonly doubt?: string;
  };
  'fact.lapsed': {
    readonly what: Lapse;
    readonly source?: string;
    readonly instrument?: string;
    readonly minutes?: number;
    /** `restart`: the running clock began anew and the gap is unknown; `clock`: shelf life ran out. */
    readonly cause?: 'told' | 'clock' | 'restart';
    /** The steps whose facts ended with it. */
    readonly steps: readonly string[];
  };
  'window.opened': {
    readonly step: string;
    readonly source: string;
    readonly reason: string;
    readonly readBack: string;
    readonly minutes: number;
  };
  'window.closed': { readonly source: string; readonly unexpected: boolean };
  'job.parked': {
    readonly as: 'usable' | 'shut';
    readonly until: string;
    readonly left: readonly LeftOpen[];
    /** The firm's own lock that stays when the person's comes off. */
    readonly lock?: string;
  };
  'job.resumed': Record<string, never>;
  'job.handedOver': {
    readonly from: string;
    readonly to: string;
    readonly lock?: string;
    /** Points that both walked to together, by id. */
    readonly walked?: readonly string[];
  };
  /** The job goes over to a newer revision of its list; its proofs end. */
  'job.rebased': {
    readonly checklist: { readonly id: string; readonly revision: number; readonly sha256: string };
    /** What turns the revision before into this one, whole. */
    readonly edits: readonly RevisionEdit[];
    readonly why: string;
  };
  'lock.removedFor': {
    readonly lock: string;
    readonly owner: string;
    readonly away: string;
    readonly tried: readonly string[];
    readonly informed: string;
    readonly authorizedBy: string;
    readonly photos?: readonly string[];
  };
  tingle: { readonly what: string };
  nearMiss: { readonly what: string };
  'tools.down': { readonly why: string };
  'job.refused': { readonly why: string; readonly left: readonly LeftOpen[] };
  'evidence.held': { readonly why: string };
  'clock.noted': {
    /** `office`: the wall clock of the device held against the clock of the collecting server. */
    readonly what: 'wallBack' | 'wallAhead' | 'restart' | 'office';
    /** Whole seconds between what the two clocks say; with `office`, above 0 when the device is ahead. */
    readonly seconds: number;
  };
  'program.noted': { readonly what: string };
  'disclosure.erased': { readonly digest: string; readonly why: string };
  'key.rotated': { readonly person: string; readonly key: string };
  /** The recording shell adds the manifest (count, last hash, photos, keys) when it seals this entry. */
  'job.closed': { readonly openEnds: readonly string[]; readonly manifest?: unknown };
  amended: {
    readonly about: string;
    readonly text: string;
    readonly acted?: string;
    readonly photos?: readonly string[];
  };
}

export type EventType = keyof EventBodies;

export const EVENT_TYPES = [
  'job.opened',
  'person.joined',
  'person.left',
  'caution.read',
  'step.done',
  'step.notDone',
  'step.corrected',
  'try.refused',
  'fact.lapsed',
  'window.opened',
  'window.closed',
  'job.parked',
  'job.resumed',
  'job.handedOver',
  'job.rebased',
  'lock.removedFor',
  'tingle',
  'nearMiss',
  'tools.down',
  'job.refused',
  'evidence.held',
  'clock.noted',
  'program.noted',
  'disclosure.erased',
  'key.rotated',
  'job.closed',
  'amended',
] as const satisfies readonly EventType[];

/** A wall clock this many seconds from the office's is a finding; less may be the way there and back. House default. */
export const OFFICE_APART_S = 60;

/** Who and when, on two clocks. */
export interface Stamp {
  /** Wall clock, RFC 3339 with offset. */
  readonly at: string;
  /** Running clock in whole milliseconds since `boot`. */
  readonly mono: number;
  /** Random id of one run of the running clock. */
  readonly boot: string;
  readonly by: string;
}

export type JobEvent = {
  [T in EventType]: Stamp & {
    readonly type: T;
    readonly body: EventBodies[T];
    readonly private?: Readonly<Record<string, string>>;
  };
}[EventType];
