/** The row of a job that lists are made from, kept up with every entry of its main branch. */
import type { SealedEntry } from '#lib/core/record/index.ts';
import { instantOf } from '#lib/core/record/index.ts';
import type { Body } from '#lib/core/record/index.ts';
import type { JobTable } from '../database/tables.ts';

export type JobRow = { -readonly [Name in keyof JobTable]: JobTable[Name] };

/** Before its first entry. */
export function blankJob(no: number, job: string, device: string, receivedAt: number): JobRow {
  return {
    no,
    job,
    device,
    count: 0,
    head: new Uint8Array(32),
    checklist: '',
    revision: 0,
    checklist_sha256: '',
    demo: 0,
    status: 'notOpened',
    opened_at: 0,
    opened_by: '',
    last_at: 0,
    last_by: '',
    received_at: receivedAt,
    due_at: null,
    refusals: 0,
    forked: 0,
    judged: 0,
  };
}

/** Adds one entry of the main branch. Bodies are untrusted: what is missing in them is left as it was. */
export function addToSummary(row: JobRow, { entry }: SealedEntry, head: Uint8Array): void {
  const at = msOf(entry.at);
  row.count = entry.seq + 1;
  row.head = head;
  row.last_at = at;
  row.last_by = entry.by;
  switch (entry.type) {
    case 'job.opened': {
      const checklist = objectIn(entry.body, 'checklist');
      row.opened_at = at;
      row.opened_by = entry.by;
      row.checklist = textIn(checklist, 'id');
      row.revision = wholeIn(checklist, 'revision');
      row.checklist_sha256 = textIn(checklist, 'sha256');
      row.demo = entry.body['demo'] === true ? 1 : 0;
      row.status = 'atWork';
      return;
    }
    case 'job.parked':
      row.status = entry.body['as'] === 'usable' ? 'parkedUsable' : 'parkedShut';
      row.due_at = dueOf(entry.body);
      return;
    case 'job.resumed':
      row.status = 'atWork';
      row.due_at = null;
      return;
    case 'tools.down':
      row.status = 'downTools';
      return;
    case 'job.refused':
      row.status = 'refused';
      return;
    case 'evidence.held':
      row.status = 'evidenceHold';
      return;
    case 'job.closed':
      row.status = 'handedBack';
      row.due_at = null;
      return;
    case 'try.refused':
      row.refusals += 1;
      return;
    case 'person.joined':
    case 'person.left':
    case 'caution.read':
    case 'step.done':
    case 'step.notDone':
    case 'step.corrected':
    case 'fact.lapsed':
    case 'window.opened':
    case 'window.closed':
    case 'job.handedOver':
    case 'job.rebased':
    case 'lock.removedFor':
    case 'tingle':
    case 'nearMiss':
    case 'clock.noted':
    case 'program.noted':
    case 'disclosure.erased':
    case 'key.rotated':
    case 'amended':
  }
}

/** Milliseconds of an RFC 3339 time that was checked before. */
export function msOf(at: string): number {
  return instantOf(at)?.ms ?? 0;
}

/** `until` is a date or a time; a date ends with its day. */
function dueOf(body: Body): number | null {
  const until = textIn(body, 'until');
  const time = /^\d{4}-\d\d-\d\d$/.test(until) ? `${until}T23:59:59Z` : until;
  return instantOf(time)?.ms ?? null;
}

function objectIn(body: Body, name: string): Body {
  const value = body[name];
  return typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Body)
    : {};
}

/** PostgreSQL holds no NUL in a text. */
function textIn(body: Body, name: string): string {
  const value = body[name];
  return typeof value === 'string' ? value.replaceAll('\u0000', '').slice(0, 200) : '';
}

function wholeIn(body: Body, name: string): number {
  const value = body[name];
  return typeof value === 'number' && Number.isInteger(value) && value >= 0 && value < 2 ** 31
    ? value
    : 0;
}
