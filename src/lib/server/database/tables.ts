/**
 * The tables as the query code sees them. How they are made is in `migrations/`.
 *
 * Bytes are `Uint8Array`, times whole milliseconds since 1970 in UTC, yes and no are 1 and 0, so that
 * both databases hold the same values.
 */
import type { JobStatus } from '#lib/core/job/view-types.ts';

/** The logs of this organisation: one, and one more for every backup that was ever restored. */
export interface LogTable {
  readonly no: number;
  /** Name of the log in its checkpoints. */
  readonly origin: string;
  readonly public_key: Uint8Array;
  readonly begun_at: number;
}

/** How far the present log has grown; one row. */
export interface TreeTable {
  readonly id: 1;
  readonly log_no: number;
  readonly size: number;
}

/** Every leaf of the present log: the bytes, and columns that only say again what is in them. */
export interface LeafTable {
  readonly idx: number;
  readonly hash: Uint8Array;
  /** Entries of jobs, and acts of this server. */
  readonly kind: 'entry' | 'act';
  /** Entries only, as `seq` and `side`. */
  readonly job_no: number | null;
  readonly seq: number | null;
  /** 1: it came after another entry had its place, or continues one that did. */
  readonly side: 0 | 1 | null;
  readonly type: string;
  /** Person of an entry; account, device or `console` of an act. */
  readonly by: string;
  /** The time that the line itself tells. */
  readonly at: number;
  readonly received_at: number;
  readonly line: Uint8Array;
}

/** Hashes of complete subtrees, 256 in a row at most: level and index as in c2sp.org/tlog-tiles. */
export interface TileTable {
  readonly level: number;
  readonly idx: number;
  /** 32 bytes each. */
  readonly hashes: Uint8Array;
}

export interface CheckpointTable {
  readonly size: number;
  /** The signed note. */
  readonly note: string;
  readonly signed_at: number;
}

/** One row for each job: where its main branch stands, and what lists are made from. */
export interface JobTable {
  readonly no: number;
  /** UUID of the job. */
  readonly job: string;
  /** Device that brought its first entry. */
  readonly device: string;
  /** Entries of the main branch. */
  readonly count: number;
  /** Hash of its last line. */
  readonly head: Uint8Array;
  readonly checklist: string;
  readonly revision: number;
  /** SHA-256 of the canonical checklist, hex. */
  readonly checklist_sha256: string;
  readonly demo: 0 | 1;
  readonly status: JobStatus;
  readonly opened_at: number;
  readonly opened_by: string;
  readonly last_at: number;
  readonly last_by: string;
  readonly received_at: number;
  /** When a parked job is to be gone on with. */
  readonly due_at: number | null;
  readonly refusals: number;
  readonly forked: 0 | 1;
  /** Entries of the main branch that the safety monitors have seen. */
  readonly judged: number;
}

/** What deserves a look: forks, broken properties, late keys, strange clocks. */
export interface FlagTable {
  readonly no: number;
  readonly code: string;
  readonly job_no: number | null;
  readonly idx: number | null;
  readonly says: string;
  readonly raised_at: number;
  readonly settled_at: number | null;
  readonly settled_by: string | null;
  readonly settled_why: string | null;
}

export interface PersonTable {
  readonly id: string;
  readonly name: string;
  readonly made_at: number;
}

export interface DeviceTable {
  readonly id: string;
  readonly label: string;
  readonly token_hash: Uint8Array;
  readonly enrolled_at: number;
  readonly enrolled_by: string;
  readonly revoked_at: number | null;
  readonly seen_at: number;
}

/** Valid for leaves after `since_idx` and, where there is one, before `until_idx`. */
export interface KeyTable {
  readonly thumbprint: string;
  readonly public_key: Uint8Array;
  readonly person: string;
  readonly device: string;
  readonly since_idx: number;
  readonly until_idx: number | null;
  readonly enrolled_by: string;
}

export interface EnrolmentTable {
  readonly code_hash: Uint8Array;
  readonly label: string;
  /** JSON list of the ids of people that it is for. */
  readonly people: string;
  /** 1: people unknown so far may be added with it. */
  readonly newcomers: 0 | 1;
  readonly made_by: string;
  readonly made_at: number;
  readonly ends_at: number;
  readonly used_at: number | null;
}

export interface AccountTable {
  readonly id: string;
  readonly login: string;
  readonly name: string;
  readonly role: 'officer' | 'dispatcher' | 'reader';
  readonly password: string | null;
  readonly made_at: number;
  readonly disabled_at: number | null;
}

export interface PasskeyTable {
  readonly id: string;
  readonly account: string;
  readonly public_key: Uint8Array;
  readonly counter: number;
  readonly label: string;
  readonly made_at: number;
  readonly used_at: number | null;
}

export interface SessionTable {
  readonly token_hash: Uint8Array;
  readonly account: string;
  readonly made_at: number;
  readonly used_at: number;
}

/** Questions that a browser has to answer with a passkey, once. */
export interface ChallengeTable {
  readonly challenge: string;
  readonly purpose: string;
  readonly account: string | null;
  readonly ends_at: number;
}

/** How often something was tried, for limits that hold across processes. */
export interface TryTable {
  readonly bucket: string;
  readonly begun_at: number;
  readonly count: number;
}

export interface PhotoTable {
  readonly sha256: string;
  readonly size: number;
  readonly received: number;
  readonly complete: 0 | 1;
  readonly touched_at: number;
}

export interface PhotoPartTable {
  readonly sha256: string;
  readonly start: number;
  readonly bytes: Uint8Array;
}

/** Which photos the entries of a job name. */
export interface PhotoUseTable {
  readonly sha256: string;
  readonly job_no: number;
}

export interface DisclosureTable {
  readonly digest: string;
  readonly job_no: number;
  readonly seq: number;
  readonly encoded: string;
}

export interface ChecklistTable {
  readonly sha256: string;
  readonly id: string;
  readonly revision: number;
  readonly title: string;
  readonly text: string;
}

export interface ClockTable {
  readonly id: string;
  readonly person: string;
  readonly job: string | null;
  /** Where to look, as told; private, never in the log. */
  readonly place: string;
  readonly set_at: number;
  readonly due_at: number;
  /** How many steps of the escalation were told already. */
  readonly told: number;
  readonly ended_at: number | null;
  readonly ended_by: string | null;
  readonly taken_at: number | null;
  readonly taken_by: string | null;
}

export interface ShareTable {
  readonly token_hash: Uint8Array;
  readonly id: string;
  readonly job_no: number;
  readonly withheld: string;
  readonly reader: string;
  readonly made_by: string;
  readonly made_at: number;
  readonly ends_at: number;
  readonly ended_by: string | null;
}

/** A finding of the second looks: once for each job, person and rule. */
export interface LookTable {
  readonly no: number;
  /** What makes it the same finding when the records are looked at again. */
  readonly mark: string;
  readonly demo: 0 | 1;
  readonly rule: string;
  readonly weight: string;
  readonly person: string;
  readonly job: string;
  /** The finding as JSON, with the thresholds that it was found with. */
  readonly finding: string;
  readonly found_at: number;
  readonly asked_at: number | null;
  readonly answered_at: number | null;
  readonly closed_at: number | null;
  readonly closed_as: string | null;
}

/** What the office and people on site say about a look or a job; the log holds only the digest. */
export interface OfficeWordTable {
  readonly no: number;
  readonly kind: string;
  readonly look_no: number | null;
  readonly job: string | null;
  readonly seq: number | null;
  readonly by: string;
  readonly at: number;
  readonly digest: string;
  /** The salted disclosure; null once it was erased. */
  readonly encoded: string | null;
}

/** How a photo looks, in 64 bits; null when it cannot be decoded. */
export interface PhotoLookTable {
  readonly sha256: string;
  readonly look: string | null;
}

/** The last time that the records of a crew were looked through. */
export interface ScreeningTable {
  readonly demo: 0 | 1;
  readonly at: number;
  readonly jobs: number;
  readonly unread: number;
  readonly photos: number;
  readonly thresholds: string;
  /** What the same records say about the programme, as JSON. */
  readonly figures: string;
}

/** A periodic inspection of a checklist. */
export interface InspectionTable {
  readonly no: number;
  readonly checklist: string;
  readonly sha256: string;
  /** `YYYY-MM-DD`, as all days here. */
  readonly day: string;
  readonly inspector: string;
  /** JSON list of ids. */
  readonly people: string;
  readonly digest: string;
  /** The machine, and what was found. */
  readonly encoded: string;
  readonly by: string;
  readonly at: number;
}

/** Training of a person, an instrument, gloves: what was done on a day and is due on another. */
export interface KeepingTable {
  readonly no: number;
  readonly kind: 'training' | 'instrument' | 'gloves';
  readonly label: string;
  readonly person: string | null;
  readonly done_day: string;
  readonly due_day: string | null;
  readonly by: string;
  readonly at: number;
  readonly ended_at: number | null;
}

export interface SampleTable {
  readonly no: number;
  readonly seed: string;
  readonly from_at: number;
  readonly until_at: number;
  /** Jobs that it was drawn from. */
  readonly among: number;
  /** JSON list of jobs. */
  readonly jobs: string;
  readonly demo: 0 | 1;
  readonly by: string;
  readonly at: number;
}

/** The last row for a step is in force; one without values takes the limit back. */
export interface HouseLimitTable {
  readonly no: number;
  readonly checklist: string;
  readonly step: string;
  readonly least: string | null;
  readonly most: string | null;
  readonly by: string;
  readonly at: number;
}

export interface Tables {
  logs: LogTable;
  tree: TreeTable;
  leaves: LeafTable;
  tiles: TileTable;
  checkpoints: CheckpointTable;
  jobs: JobTable;
  flags: FlagTable;
  people: PersonTable;
  devices: DeviceTable;
  keys: KeyTable;
  enrolments: EnrolmentTable;
  accounts: AccountTable;
  passkeys: PasskeyTable;
  sessions: SessionTable;
  challenges: ChallengeTable;
  tries: TryTable;
  photos: PhotoTable;
  photo_parts: PhotoPartTable;
  photo_uses: PhotoUseTable;
  disclosures: DisclosureTable;
  checklists: ChecklistTable;
  clocks: ClockTable;
  shares: ShareTable;
  looks: LookTable;
  office_words: OfficeWordTable;
  photo_looks: PhotoLookTable;
  screenings: ScreeningTable;
  inspections: InspectionTable;
  keepings: KeepingTable;
  samples: SampleTable;
  house_limits: HouseLimitTable;
}
