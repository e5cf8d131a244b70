/**
 * The two clocks of the device, and fresh names.
 *
 * The wall clock can be set by hand; the running clock cannot, but begins anew with every page load and
 * may stand still while the device sleeps. Both are recorded, and `boot` names one run of the second.
 */
import { formatRFC3339 } from 'date-fns/formatRFC3339';
import type { Stamp } from '#lib/core/job/events.ts';
import { base64url, uuidV7 } from '#lib/core/record/index.ts';

export type Now = Omit<Stamp, 'by'>;

export interface Clock {
  now(): Now;
}

/** Wall time in RFC 3339 with milliseconds and the local offset (`+00:00`, not `Z`: it is a place). */
export function wallTime(date: Date): string {
  return formatRFC3339(date, { fractionDigits: 3 }).replace(/Z$/, '+00:00');
}

/** The clocks of this page load. */
export function deviceClock(): Clock {
  const boot = base64url(crypto.getRandomValues(new Uint8Array(16)));
  return {
    now: () => ({ at: wallTime(new Date()), mono: Math.floor(performance.now()), boot }),
  };
}

/** A new UUID version 7 of now. */
export function freshUuid(): string {
  return uuidV7(Date.now(), crypto.getRandomValues(new Uint8Array(10)));
}
