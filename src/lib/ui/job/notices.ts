/** What somebody has to read before they go on: locks that were taken off for them. */
import type { JobEvent } from '#lib/core/job/events.ts';

export type Removal = JobEvent & { readonly type: 'lock.removedFor' };

/** The note that goes into the record when it was read. */
export function readNote(removal: Removal): string {
  const { lock, owner } = removal.body;
  return `${owner} has read that lock ${lock} was taken off for them at ${removal.at}`;
}

/** Removals of this person's locks that nothing in the record says they have read, oldest first. */
export function unread(events: readonly JobEvent[], person: string): readonly Removal[] {
  const told = new Set(
    events.flatMap((event) => (event.type === 'program.noted' ? [event.body.what] : [])),
  );
  return events.filter(
    (event): event is Removal =>
      event.type === 'lock.removedFor' && event.body.owner === person && !told.has(readNote(event)),
  );
}
