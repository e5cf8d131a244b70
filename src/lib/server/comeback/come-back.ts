/**
 * Come-back clocks: when somebody on site is expected to be heard of again. They run here, because a
 * phone can die or lose its signal, and only by this server's clock.
 */
import type { Rows } from '../database/database.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { actOf, changed } from '../log/change.ts';
import { answered, refused } from '../refusal.ts';
import type { Answered } from '../refusal.ts';

const LONGEST_MS = 24 * 3_600_000;
const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

export interface ClockSet {
  /** Chosen by the device, so that setting it twice sets it once. */
  readonly id: string;
  readonly person: string;
  readonly job: string | null;
  /** Where to look; may be empty. */
  readonly place: string;
  /** Minutes from now: a device's own clock is not asked. */
  readonly minutes: number;
}

/** Sets a clock, or sets it anew; a clock that was ended or belongs to somebody else stays as it is. */
export async function setClock(
  rows: Rows,
  device: string,
  asked: ClockSet,
  now: number,
): Promise<Answered<{ readonly dueAt: number }>> {
  const span = asked.minutes * 60_000;
  if (!UUID.test(asked.id) || !(span > 0) || span > LONGEST_MS)
    return refused(422, 'bad-clock', 'A come-back clock runs for one minute to a day.');
  if (!(await isOnDevice(rows, device, asked.person)))
    return refused(403, 'not-named', 'This device sets clocks only for its own people.');
  const dueAt = now + span;
  const { numInsertedOrUpdatedRows } = await rows
    .insertInto('clocks')
    .values({
      id: asked.id,
      person: asked.person,
      job: asked.job,
      place: asked.place.slice(0, 200),
      set_at: now,
      due_at: dueAt,
      told: 0,
      ended_at: null,
      ended_by: null,
      taken_at: null,
      taken_by: null,
    })
    .onConflict((on) =>
      on
        .column('id')
        .doUpdateSet({ due_at: dueAt, set_at: now, told: 0, taken_at: null, taken_by: null })
        .where('clocks.ended_at', 'is', null)
        .where('clocks.person', '=', asked.person),
    )
    .executeTakeFirstOrThrow();
  if (numInsertedOrUpdatedRows === 0n)
    return refused(409, 'ended', 'This clock was ended before. Set a new one.');
  return answered({ dueAt });
}

/** The person is back: nobody is looked for any more. */
export async function endClock(
  rows: Rows,
  device: string,
  id: string,
  now: number,
): Promise<Answered<object>> {
  const clock = await rows
    .selectFrom('clocks')
    .select('person')
    .where('id', '=', id)
    .executeTakeFirst();
  if (clock === undefined || !(await isOnDevice(rows, device, clock.person)))
    return refused(404, 'no-clock', 'There is no such clock.');
  await rows
    .updateTable('clocks')
    .set({ ended_at: now, ended_by: device })
    .where('id', '=', id)
    .where('ended_at', 'is', null)
    .execute();
  return answered({});
}

export interface RunningClock {
  readonly id: string;
  readonly person: string;
  readonly name: string;
  readonly job: string | null;
  readonly place: string;
  readonly dueAt: number;
  /** Whole minutes past the time; negative while there is some left. */
  readonly overdue: number;
  /** How many steps of the escalation are reached; 0 while there is time left. */
  readonly step: number;
  /** Name of who has taken it on, or null. */
  readonly takenBy: string | null;
}

/** The board: who is expected, the longest overdue first. */
export async function runningClocks(
  rows: Rows,
  escalation: readonly number[],
  now: number,
): Promise<RunningClock[]> {
  const found = await rows
    .selectFrom('clocks')
    .leftJoin('people', 'people.id', 'clocks.person')
    .leftJoin('accounts', 'accounts.id', 'clocks.taken_by')
    .select([
      'clocks.id',
      'clocks.person',
      'people.name',
      'clocks.job',
      'clocks.place',
      'clocks.due_at',
      'accounts.name as taken',
    ])
    .where('clocks.ended_at', 'is', null)
    .orderBy('clocks.due_at')
    .limit(500)
    .execute();
  return found.map(({ due_at, taken, name, ...clock }) => {
    const overdue = Math.floor((now - due_at) / 60_000);
    const step = stepOf(overdue, escalation);
    return { ...clock, name: name ?? clock.person, dueAt: due_at, overdue, step, takenBy: taken };
  });
}

export function stepOf(overdue: number, escalation: readonly number[]): number {
  return escalation.filter((minutes) => overdue >= minutes).length;
}

/** Somebody of the office looks after it, by name; the clock goes on until the person is back. */
export function takeClock(
  ground: { readonly log: OrganisationLog; readonly now: () => number },
  id: string,
  by: string,
): Promise<Answered<object>> {
  return changed(ground.log, async (rows) => {
    const { numUpdatedRows } = await rows
      .updateTable('clocks')
      .set({ taken_at: ground.now(), taken_by: by })
      .where('id', '=', id)
      .where('ended_at', 'is', null)
      .executeTakeFirst();
    if (numUpdatedRows !== 1n) return refused(404, 'no-clock', 'There is no such clock any more.');
    return actOf('clock.taken', { clock: id }, by, {});
  });
}

/** The office has heard of the person, by whatever way. */
export function settleClock(
  ground: { readonly log: OrganisationLog; readonly now: () => number },
  id: string,
  by: string,
): Promise<Answered<object>> {
  return changed(ground.log, async (rows) => {
    const { numUpdatedRows } = await rows
      .updateTable('clocks')
      .set({ ended_at: ground.now(), ended_by: by })
      .where('id', '=', id)
      .where('ended_at', 'is', null)
      .executeTakeFirst();
    if (numUpdatedRows !== 1n) return refused(404, 'no-clock', 'There is no such clock any more.');
    return actOf('clock.settled', { clock: id }, by, {});
  });
}

export interface Escalated {
  readonly clock: string;
  readonly step: number;
}

/**
 * What became due since it was last looked at; each step of each clock is told once, by one process.
 * A clock that somebody has taken on is not told again.
 */
export async function escalate(
  rows: Rows,
  escalation: readonly number[],
  now: number,
): Promise<Escalated[]> {
  const due = await rows
    .selectFrom('clocks')
    .select(['id', 'due_at', 'told'])
    .where('ended_at', 'is', null)
    .where('taken_at', 'is', null)
    .where('due_at', '<=', now)
    .execute();
  const told: Escalated[] = [];
  for (const { id, due_at, told: before } of due) {
    const step = stepOf(Math.floor((now - due_at) / 60_000), escalation);
    if (step <= before) continue;
    const { numUpdatedRows } = await rows
      .updateTable('clocks')
      .set({ told: step })
      .where('id', '=', id)
      .where('told', '=', before)
      .executeTakeFirst();
    if (numUpdatedRows === 1n) told.push({ clock: id, step });
  }
  return told;
}

async function isOnDevice(rows: Rows, device: string, person: string): Promise<boolean> {
  const key = await rows
    .selectFrom('keys')
    .select('thumbprint')
    .where('device', '=', device)
    .where('person', '=', person)
    .executeTakeFirst();
  return key !== undefined;
}
