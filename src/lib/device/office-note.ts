/** What a record says of the device's clock against the office's. */
import { OFFICE_APART_S } from '#lib/core/job/events.ts';
import type { JobEvent, Stamp } from '#lib/core/job/events.ts';

type ClockNote = Extract<JobEvent, { readonly type: 'clock.noted' }>;

export const isOfficeNote = (event: JobEvent): event is ClockNote =>
  event.type === 'clock.noted' && event.body.what === 'office';

/** @param seconds that the device is ahead of the office; below 0 it is behind */
export const officeNote = (seconds: number, { at, mono, boot, by }: Stamp): ClockNote => ({
  ...{ at, mono, boot, by },
  type: 'clock.noted',
  body: { what: 'office', seconds },
});

/**
 * Whether the record has to be told: once that the clocks agree, of a finding on every run of the
 * program, and when it has changed or is over.
 * @param boot the run of the running clock that goes on now
 */
export function isNews(events: readonly JobEvent[], seconds: number, boot: string): boolean {
  const told = events.findLast(isOfficeNote);
  if (told === undefined) return true;
  const [apart, was] = [seconds, told.body.seconds].map((s) => Math.abs(s) >= OFFICE_APART_S);
  if (apart !== was || Math.abs(seconds - told.body.seconds) >= OFFICE_APART_S) return true;
  return apart === true && told.boot !== boot;
}
