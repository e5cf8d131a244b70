/** An empty IndexedDB for each test, in the process: what the device tests stand on. */
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { Connection } from '#lib/device/connection.ts';
import { NOWHERE, placeOf } from '#lib/device/store.ts';
import { DeviceStore } from '#lib/device/store.ts';
import { digest } from '#lib/device/photo-chunks.ts';
import type { Batch, Place } from '#lib/device/store.ts';
import type { JobRow } from '#lib/device/schema.ts';
import type { Photo } from '#lib/device/photo.ts';
import type { Result } from '#lib/device/trouble.ts';

export const JOB = '019a0000-0000-7000-8000-000000000001';
export const OTHER_JOB = '019a0000-0000-7000-8000-000000000002';

/** Forgets everything: as on a device that was never used. */
export function emptyDevice(): void {
  globalThis.indexedDB = new IDBFactory();
}

export async function freshStore(): Promise<DeviceStore> {
  emptyDevice();
  return reopened();
}

/** The store as a later page load finds it. */
export async function reopened(): Promise<DeviceStore> {
  return new DeviceStore(must(await Connection.open()));
}

/** The value, or a failing test that says the trouble. */
export function must<T>(result: Result<T>): T {
  if (!result.ok) throw new Error(`${result.trouble.code}: ${result.trouble.says}`);
  return result.value;
}

/** Lines that only have to be bytes: the store does not look into them. */
export function opaque(text: string): Uint8Array<ArrayBuffer> {
  return new TextEncoder().encode(text) as Uint8Array<ArrayBuffer>;
}

function rowAfter(upon: Place, texts: readonly string[], job = JOB): JobRow {
  return {
    job,
    count: upon.count + texts.length,
    head: digest(opaque(upon.head + texts.join('\n'))),
    checklist: 'c'.repeat(64),
    title: 'Electric range: door lock will not engage',
    demo: false,
    openedAt: '2026-11-25T10:42:07.120-05:00',
    lastAt: '2026-11-25T10:42:07.120-05:00',
    openedBy: 'mara',
    lastBy: 'mara',
    status: 'atWork',
  };
}

export function batchOf(
  upon: Place,
  texts: readonly string[],
  more: Partial<Batch> = {},
  job = JOB,
): Batch {
  return { upon, lines: texts.map(opaque), row: rowAfter(upon, texts, job), ...more };
}

/** Where a job stands after these batches of lines, stored one after the other. */
export async function grown(
  store: DeviceStore,
  batches: readonly (readonly string[])[],
  job = JOB,
): Promise<Place> {
  let at = NOWHERE;
  for (const texts of batches) {
    const batch = batchOf(at, texts, {}, job);
    must(await store.append(batch));
    at = placeOf(batch.row);
  }
  return at;
}

/** Bytes standing in for a photo; the store does not look into them either. */
export function photoOf(bytes: number, seed = 1): Photo {
  const data = new Uint8Array(bytes);
  let next = seed;
  for (let at = 0; at < bytes; at += 1) {
    next = (Math.imul(next, 1_103_515_245) + 12_345) >>> 0;
    data[at] = next >>> 24;
  }
  return { sha256: digest(data), bytes: data, width: 1600, height: 1200, sharpness: 400 };
}
