/** What a screen needs to draw a job: read-only, computed from the state by `viewOf` (`view.ts`). */
import type {
  Control,
  EndKind,
  Phase,
  PointMeans,
  SourceKind,
  StepKind,
} from '../checklist/model.ts';
import type { Instrument, LeftOpen, StepResult } from './events.ts';
import type { Refusal } from './refusal.ts';

export type JobStatus =
  | 'notOpened'
  | 'atWork'
  | 'downTools'
  | 'parkedUsable'
  | 'parkedShut'
  | 'handedBack'
  | 'refused'
  | 'evidenceHold';

/**
 * `todo`: not done yet. `part`: begun (first of two hands, or too few connectors yet).
 * `done`: its fact is fresh. `lapsed`: it was done and stands open again because something needs it or may need it.
 * `spent`: it was done, its fact ended, and nothing ahead needs it. `notDone`: left out, with a reason.
 * `notApplicable`: an earlier choice rules it out.
 */
export type StepState = 'todo' | 'part' | 'done' | 'lapsed' | 'spent' | 'notDone' | 'notApplicable';

export interface FactView {
  readonly by: string;
  readonly at: string;
  readonly result?: StepResult;
  readonly why?: string;
  readonly acted?: string;
  /** What ended it, when it has lapsed. */
  readonly ended?: string;
}

export interface StepView {
  readonly id: string;
  readonly index: number;
  readonly do: StepKind;
  readonly phase: Phase;
  readonly state: StepState;
  readonly fact?: FactView;
  /** Empty when the acting person may do it now; otherwise everything it waits for. */
  readonly refusals: readonly Refusal[];
  /** Running-clock milliseconds until its shelf life ends, when it has one and is fresh. */
  readonly keepsMs?: number;
}

export interface LockView {
  readonly number: string;
  readonly owner: string;
  readonly point: string;
  /** False after its source came back by anyone's hand: its owner has to see and state it again. */
  readonly sure: boolean;
  readonly parked: boolean;
}

export interface PointView {
  readonly id: string;
  readonly label: string;
  readonly by: PointMeans;
  readonly control: Control;
  readonly position: 'closed' | 'open' | 'unknown';
  /** Who keeps a plug in sight. */
  readonly holder?: string;
  readonly locks: readonly LockView[];
}

export interface SourceView {
  readonly id: string;
  readonly label: string;
  readonly kind: SourceKind;
  readonly nominal?: string;
  /**
   * `live`: as found or restored. `unknown`: treat as live. `cut`: every point open. `held`: and under control.
   * `dead`: and proved. For an energy without points: `stored` or `released`. `window`: a live window is open.
   */
  readonly state: 'live' | 'unknown' | 'cut' | 'held' | 'dead' | 'stored' | 'released' | 'window';
  readonly caseTest?: 'unknown' | 'clear' | 'live';
  readonly points: readonly PointView[];
  /** When it was proved dead, and how long that lasts on the running clock. */
  readonly provedAt?: string;
  readonly keepsMs?: number;
  /** A wait for stored energy: total and remaining milliseconds. */
  readonly wait?: { readonly totalMs: number; readonly remainingMs: number };
}

/** A time in which the state of a source did not change, in milliseconds since 1970. */
export interface SourceSpan {
  readonly state: SourceView['state'];
  readonly from: number;
  readonly until: number;
}

/** One source over the time of a record. */
export interface SourceBand {
  readonly id: string;
  readonly label: string;
  readonly kind: SourceKind;
  readonly spans: readonly SourceSpan[];
}

export interface OpenEndView {
  readonly id: string;
  readonly label: string;
  readonly kind: EndKind | 'connector';
  readonly terminal?: string;
  readonly wire?: string;
  readonly pin?: { readonly photo: string; readonly x: number; readonly y: number };
  readonly left?: LeftOpen;
}

export interface ConnectorView extends OpenEndView {
  readonly open: boolean;
  readonly step: string;
}

export interface JobView {
  readonly status: JobStatus;
  readonly demo: boolean;
  readonly phase: Phase;
  /** The step to show now: what lapsed and is needed first, else the next in order. */
  readonly current?: StepView;
  /** Every step the acting person may do now. */
  readonly ready: readonly StepView[];
  readonly steps: readonly StepView[];
  readonly sources: readonly SourceView[];
  readonly openEnds: readonly OpenEndView[];
  readonly connectors: readonly ConnectorView[];
  readonly people: readonly {
    readonly id: string;
    readonly present: boolean;
    readonly worn: readonly string[];
  }[];
  readonly instruments: readonly (Instrument & { readonly doubted: boolean })[];
  readonly window?: {
    readonly source: string;
    readonly step: string;
    readonly remainingMs: number;
    readonly unexpected: boolean;
  };
  /** Why the job can not be handed back, parked or refused yet; empty when it can. */
  readonly exits: Readonly<
    Record<'close' | 'parkUsable' | 'parkShut' | 'refuse' | 'evidenceHold', readonly Refusal[]>
  >;
}
