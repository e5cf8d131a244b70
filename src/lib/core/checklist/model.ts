/**
 * The checklist as data: the shape that a file has once it was read and checked.
 *
 * Every text quantity ("30 V", "470 uF") stays as written; who needs the number parses it with
 * `measure/quantity.ts`. Ids are kebab-case for checklists and steps, and any key without spaces for
 * sources, points and ends.
 */

/** The phases of a job, in order; a checklist never goes back to an earlier one. */
export const PHASES = ['arrive', 'isolate', 'open', 'work', 'refit', 'restore', 'finish'] as const;
export type Phase = (typeof PHASES)[number];

/** Kinds of energy that can hurt (EN ISO 12100 hazard groups, in the words of the trade). */
export const SOURCE_KINDS = [
  'electrical',
  'charge',
  'thermal',
  'motion',
  'spring',
  'gravity',
  'pressure',
  'gas',
  'water',
  'sharp',
] as const;
export type SourceKind = (typeof SOURCE_KINDS)[number];

/** Devices that cut an energy. A control (thermostat, timer, selector, software, interlock) is none. */
export const POINT_MEANS = [
  'breaker',
  'disconnect',
  'fuse',
  'plug',
  'valve',
  'block',
  'battery',
] as const;
export type PointMeans = (typeof POINT_MEANS)[number];

/** How a point is kept cut: a lock of each person, a plug in one person's sight, or a tag and one more measure. */
export type Control = 'lock' | 'exclusive' | 'tag';

export interface Point {
  readonly label: string;
  readonly by: PointMeans;
  readonly control: Control;
}

export const CATEGORIES = ['CAT II', 'CAT III', 'CAT IV'] as const;
export type Category = (typeof CATEGORIES)[number];

/** How an energy is shown to be gone: every pair below the limit, with an instrument of this category. */
export interface DeadTest {
  readonly pairs: readonly string[];
  readonly below: string;
  readonly category: Category;
}

export const LIMIT_ORIGINS = ['code', 'maker', 'house', 'default'] as const;
/** Where a limit comes from; shown beside every number. */
export type LimitOrigin = (typeof LIMIT_ORIGINS)[number];

interface Cited {
  readonly limit?: LimitOrigin;
  readonly reference?: string;
}

/** How stored energy is let go; the residual is always measured or seen. */
export type Release =
  | { readonly cool: { readonly below: string } & Cited }
  | {
      readonly discharge: {
        readonly capacitance: string;
        readonly bleed: string;
        readonly below: string;
      } & Cited;
    }
  | { readonly measured: { readonly quantity: QuantityName; readonly below: string } & Cited }
  | { readonly stated: { readonly states: string } & Cited };

/** Events that end a fact. `time` is written as `for`. */
export const LAPSES = [
  'time',
  'leftSight',
  'panelTouched',
  'reEnergized',
  'moved',
  'instrumentDoubt',
  'joined',
  'parked',
  'resumed',
  'handedOver',
  'windowOpened',
] as const;
export type Lapse = (typeof LAPSES)[number];

/** Shelf life: how long a fact lasts, and what ends it beyond the standing table (stricter only). */
export interface Keeps {
  readonly for?: string;
  readonly unless?: readonly Lapse[];
}

export interface Source {
  readonly kind: SourceKind;
  readonly label: string;
  readonly nominal?: string;
  /** A metal case is tested to a proven ground before hands touch it. */
  readonly case?: 'metal' | 'insulated';
  readonly points?: Readonly<Record<string, Point>>;
  readonly dead?: DeadTest;
  readonly release?: Release;
  readonly keeps?: Keeps;
  /** For a charge: the source that fills it; its wait runs from that source's isolation. Default: every electrical source. */
  readonly from?: string;
}

export const END_KINDS = [
  'cover',
  'prop',
  'jumper',
  'strap',
  'hose',
  'guard',
  'bracket',
  'tool',
  'fastener',
] as const;
export type EndKind = (typeof END_KINDS)[number];

export interface End {
  readonly label: string;
  readonly kind: EndKind;
}

export const STEP_KINDS = [
  'confirm',
  'tell',
  'wear',
  'photo',
  'find',
  'case',
  'reading',
  'contacts',
  'choose',
  'isolate',
  'lock',
  'release',
  'prove',
  'open',
  'close',
  'disconnect',
  'reseat',
  'window',
  'clear',
  'unlock',
  'restore',
  'sign',
] as const;
export type StepKind = (typeof STEP_KINDS)[number];

export const SIGNAL_WORDS = ['danger', 'warning', 'caution', 'notice'] as const;
/** Signal words of ANSI Z535.6 / ISO 3864-2. */
export type SignalWord = (typeof SIGNAL_WORDS)[number];

export interface Caution {
  readonly signal: SignalWord;
  readonly text: string;
  readonly reference?: string;
}

export const QUANTITIES = [
  'voltage',
  'current',
  'resistance',
  'insulation',
  'capacitance',
  'temperature',
  'pressure',
  'power',
  'time',
  'length',
  'mass',
  'leakage',
  'concentration',
  'irradiance',
  'frequency',
] as const;
export type QuantityName = (typeof QUANTITIES)[number];

/** What a reading has to be. */
export type Accept =
  | { readonly least?: string; readonly most?: string }
  | { readonly open: true }
  | { readonly element: { readonly volts: string; readonly watts: string } }
  | {
      readonly pairs: Readonly<Record<string, { readonly least?: string; readonly most?: string }>>;
    };

/** What is common to every step. */
export interface StepCommon {
  readonly id: string;
  readonly phase: Phase;
  /** The instruction: imperative, one sentence. */
  readonly say: string;
  readonly why?: string;
  readonly cautions?: readonly Caution[];
  /** Facts that must be fresh, beyond the order. */
  readonly needs?: readonly string[];
  /** Outcomes of earlier `choose` steps under which this step applies. */
  readonly when?: Readonly<Record<string, string | readonly string[]>>;
  /** Sources that this step exposes a person to. */
  readonly exposes?: readonly string[];
  readonly wearing?: readonly string[];
  readonly bare?: readonly string[];
  readonly photo?: 'before' | 'after' | 'offered';
  readonly optional?: boolean;
  readonly twice?: boolean;
  /** The least honest time for the act. */
  readonly takes?: string;
  readonly keeps?: Keeps;
  readonly people?: number;
  readonly together?: string;
  readonly limit?: LimitOrigin;
  readonly reference?: string;
  /** A figure or rule that a qualified person has yet to review for the place of use. */
  readonly review?: string;
}

export type Step = StepCommon &
  (
    | { readonly do: 'confirm'; readonly states: string; readonly counts?: 'sources' }
    | { readonly do: 'tell' }
    | { readonly do: 'wear'; readonly on?: readonly string[]; readonly off?: readonly string[] }
    | { readonly do: 'photo' }
    | { readonly do: 'find'; readonly source: string; readonly point: string }
    | { readonly do: 'case'; readonly source: string; readonly pairs?: readonly string[] }
    | {
        readonly do: 'reading';
        readonly source?: string;
        readonly quantity: QuantityName;
        readonly accept?: Accept;
      }
    | {
        readonly do: 'contacts';
        readonly terminals: 2 | 3 | 4;
        /** For two terminals: what a healthy part is at rest. */
        readonly rest?: 'open' | 'closed';
        readonly inPlace?: boolean;
      }
    | { readonly do: 'choose'; readonly options: Readonly<Record<string, string>> }
    | { readonly do: 'isolate'; readonly source: string; readonly point: string }
    | { readonly do: 'lock'; readonly source: string; readonly point: string }
    | { readonly do: 'release'; readonly source: string }
    | { readonly do: 'prove'; readonly source: string }
    | { readonly do: 'open'; readonly end: string }
    | { readonly do: 'close'; readonly end: string }
    | {
        readonly do: 'disconnect';
        readonly expect?: { readonly least?: number; readonly most?: number };
      }
    | { readonly do: 'reseat' }
    | {
        readonly do: 'window';
        readonly source: string;
        readonly reasons?: readonly string[];
        /** The readings that may be taken while it is open: ids of later `reading` steps. */
        readonly allows: readonly string[];
        readonly minutes: number;
        /** Ends that may stay open, named; never a connector. */
        readonly stillOpen?: readonly string[];
        readonly wet?: boolean;
      }
    | { readonly do: 'clear' }
    | { readonly do: 'unlock'; readonly source: string; readonly point: string }
    | { readonly do: 'restore'; readonly source: string; readonly point: string }
    | { readonly do: 'sign' }
  );

export type StepOf<K extends StepKind> = Extract<Step, { readonly do: K }>;

/** A suspect of the diagnosis: what each reading clears or blames. */
export interface Suspect {
  readonly label: string;
  /** Relative cost of replacing on suspicion; the part order waits for the cheaper ones. */
  readonly cost?: number;
  readonly part?: 'returnable' | 'notReturnable';
  /** Step id and the outcomes of it that clear, and that blame. */
  readonly clearedBy?: Readonly<Record<string, readonly string[]>>;
  readonly blamedBy?: Readonly<Record<string, readonly string[]>>;
  /** The step at which this part is ordered; it needs the verdicts of every cheaper suspect. */
  readonly orderAt?: string;
}

export interface Checklist {
  readonly format: 1;
  readonly id: string;
  readonly title: string;
  readonly revision: number;
  readonly issued: string;
  readonly language: string;
  readonly scope: string;
  readonly defer: string;
  readonly licensed: string;
  readonly competence: readonly string[];
  readonly references: Readonly<Record<string, string>>;
  readonly barred: readonly string[];
  readonly sources: Readonly<Record<string, Source>>;
  readonly ends: Readonly<Record<string, End>>;
  readonly suspects?: Readonly<Record<string, Suspect>>;
  readonly steps: readonly Step[];
}

/** One thing wrong in a file, where it is, and what would be right. */
export interface Problem {
  /** The path inside the file, such as `steps[3].needs[0]`; empty for the file as a whole. */
  readonly path: string;
  /** 1-based. */
  readonly line: number;
  readonly column: number;
  readonly says: string;
}
