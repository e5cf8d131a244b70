/**
 * The layout of the device's database. A change here is a new version with a step in `upgrade`; a
 * version that was ever shipped keeps its step for good.
 *
 * Bytes are kept as `ArrayBuffer`, never as `Blob` or `File`: engines store those beside the database,
 * and they tear when the power goes.
 */
import type { DBSchema, IDBPDatabase } from 'idb';

export const DATABASE_NAME = 'stillwire';
export const DATABASE_VERSION = 1;

/** Largest piece of a photo or of the ballast, in bytes. */
export const CHUNK_BYTES = 1024 * 1024;

/** One job in the list, written with its entries; nothing in it is private. */
export interface JobRow {
  readonly job: string;
  /** Entries stored. */
  readonly count: number;
  /** Hash of the last line, 64 hex digits. */
  readonly head: string;
  /** Digest of the checklist that its first entry pins. */
  readonly checklist: string;
  readonly title: string;
  readonly demo: boolean;
  /** Wall times of the first and the last entry, RFC 3339. */
  readonly openedAt: string;
  readonly lastAt: string;
  /** Person ids of the first and the last entry. */
  readonly openedBy: string;
  readonly lastBy: string;
  /** As the view tells it (`JobStatus`), for the list only. */
  readonly status: string;
}

export interface PhotoRow {
  readonly sha256: string;
  readonly bytes: number;
  readonly chunks: number;
  readonly width: number;
  readonly height: number;
  /** See `sharpness.ts`. */
  readonly sharpness: number;
  /** The job that stored it first. */
  readonly job: string;
}

export interface DisclosureRow {
  readonly job: string;
  readonly seq: number;
  readonly digest: string;
  /** The disclosure as it stands, Base 64 text. */
  readonly disclosure: string;
}

/** A private key that a PIN opens; see `pins.ts`. */
export interface SealedKey {
  readonly salt: ArrayBuffer;
  readonly iv: ArrayBuffer;
  /** Of the stretching. */
  readonly rounds: number;
  readonly wrapped: ArrayBuffer;
}

export interface KeyRow {
  /** Name of the key: RFC 7638 thumbprint. */
  readonly thumbprint: string;
  readonly person: string;
  /** 32 bytes. */
  readonly publicKey: ArrayBuffer;
  /** Not extractable; absent where only a PIN opens it. */
  readonly privateKey?: CryptoKey;
  readonly sealed?: SealedKey;
  /** Wall time, RFC 3339. */
  readonly since: string;
  /** The person who enrolled it, by id. */
  readonly enrolledBy: string;
}

export interface PersonRow {
  readonly id: string;
  readonly name: string;
  readonly competence: readonly string[];
}

export interface ChecklistRow {
  /** Digest of `json`: the identity that a job's first entry pins. */
  readonly sha256: string;
  readonly id: string;
  readonly revision: number;
  readonly title: string;
  /** The file as written. */
  readonly text: string;
  /** What was read from it, as canonical JSON. */
  readonly json: string;
}

export interface Stored extends DBSchema {
  jobs: { key: string; value: JobRow };
  /** The bytes of one line without its line feed, at `[job, seq]`. */
  entries: { key: [string, number]; value: ArrayBuffer };
  disclosures: { key: [string, string]; value: DisclosureRow };
  photos: { key: string; value: PhotoRow };
  chunks: { key: [string, number]; value: ArrayBuffer };
  keys: { key: string; value: KeyRow; indexes: { person: string } };
  people: { key: string; value: PersonRow };
  checklists: { key: string; value: ChecklistRow };
  settings: { key: string; value: unknown };
  /** The server's receipt of an entry, at `[job, seq]`: a `tlog-proof` text that was verified here. */
  receipts: { key: [string, number]; value: string };
  ballast: { key: number; value: ArrayBuffer };
}

export type Database = IDBPDatabase<Stored>;

/** Brings a database of an earlier version to this one. */
export function upgrade(db: Database, from: number): void {
  if (from < 1) {
    db.createObjectStore('jobs', { keyPath: 'job' });
    db.createObjectStore('entries');
    db.createObjectStore('disclosures', { keyPath: ['job', 'digest'] });
    db.createObjectStore('photos', { keyPath: 'sha256' });
    db.createObjectStore('chunks');
    db.createObjectStore('keys', { keyPath: 'thumbprint' }).createIndex('person', 'person');
    db.createObjectStore('people', { keyPath: 'id' });
    db.createObjectStore('checklists', { keyPath: 'sha256' });
    db.createObjectStore('settings');
    db.createObjectStore('receipts');
    db.createObjectStore('ballast');
  }
}
