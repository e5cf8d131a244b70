/**
 * The pen of a job that goes from device to device: who may write, whose keys signed elsewhere, and what
 * another device wrote while this one did too. Kept as settings; each is read strictly or not at all.
 */
import { keyListBytes, readKeyList } from '#lib/core/bag/keys.ts';
import type { KnownKey } from '#lib/core/bag/keys.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import type { DeviceStore } from './store.ts';
import { done } from './trouble.ts';
import type { Result } from './trouble.ts';

/** What another device wrote from entry `at` on, while this one wrote something else. */
export interface Fork {
  readonly at: number;
  /** Its lines without their line feed, the first of them entry `at`. */
  readonly lines: readonly ArrayBuffer[];
  /** Somebody here has looked at both. */
  readonly settled?: boolean;
}

const penOf = (job: string) => `pen/${job}`;
const keysOf = (job: string) => `keys/${job}`;
const forkOf = (job: string) => `fork/${job}`;

/** When the pen of this job was passed on from here, RFC 3339; null while it is here. */
export async function penPassed(store: DeviceStore, job: string): Promise<Result<string | null>> {
  const read = await store.readSetting(penOf(job));
  if (!read.ok) return read;
  return done(typeof read.value === 'string' && read.value !== '' ? read.value : null);
}

/** From now on this device does not write to the job, until it comes back or is taken back. */
export function passPen(store: DeviceStore, job: string, at: string): Promise<Result<void>> {
  return store.saveSetting(penOf(job), at);
}

export function takePen(store: DeviceStore, job: string): Promise<Result<void>> {
  return store.saveSetting(penOf(job), '');
}

/** Keeps the public keys that came with a record, beside those known of it before. */
export async function keepKeys(
  store: DeviceStore,
  job: string,
  keys: readonly KnownKey[],
): Promise<Result<void>> {
  const before = await foreignKeys(store, job);
  if (!before.ok) return before;
  const news = keys.filter(({ key }) => !before.value.some((each) => each.key === key));
  const bytes = keyListBytes([...before.value, ...news]);
  return store.saveSetting(keysOf(job), bytes.slice().buffer);
}

/** Keys that signed this job on other devices. */
export async function foreignKeys(
  store: DeviceStore,
  job: string,
): Promise<Result<readonly KnownKey[]>> {
  const read = await store.readSetting(keysOf(job));
  if (!read.ok) return read;
  if (!(read.value instanceof ArrayBuffer)) return done([]);
  const list = readKeyList(new Uint8Array(read.value), purePrimitives);
  return done(list.ok ? list.value.keys : []);
}

export function keepFork(store: DeviceStore, job: string, fork: Fork): Promise<Result<void>> {
  return store.saveSetting(forkOf(job), fork);
}

export async function forkIn(store: DeviceStore, job: string): Promise<Result<Fork | null>> {
  const read = await store.readSetting(forkOf(job));
  if (!read.ok) return read;
  const fork = read.value as Partial<Fork> | null | undefined;
  const whole =
    typeof fork?.at === 'number' &&
    Array.isArray(fork.lines) &&
    fork.lines.every((line) => line instanceof ArrayBuffer);
  return done(whole ? (fork as Fork) : null);
}

/** The fork stays kept; it is not asked about again. */
export async function settleFork(store: DeviceStore, job: string): Promise<Result<void>> {
  const fork = await forkIn(store, job);
  if (!fork.ok || fork.value === null) return fork.ok ? done(undefined) : fork;
  return keepFork(store, job, { ...fork.value, settled: true });
}
