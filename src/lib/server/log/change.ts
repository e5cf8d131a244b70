/** A change that the office makes, and the act that tells it: together, or not at all. */
import type { Body } from '#lib/core/record/index.ts';
import type { Writing } from '../database/database.ts';
import { answered } from '../refusal.ts';
import type { Answered, Refused } from '../refusal.ts';
import type { ActType } from './act.ts';
import type { OrganisationLog } from './organisation-log.ts';

/** What was done, and what its asker gets. */
export interface Change<T> {
  readonly ok: true;
  readonly type: ActType;
  readonly body: Body;
  readonly by: string;
  readonly value: T;
}

export function actOf<T>(type: ActType, body: Body, by: string, value: T): Change<T> {
  return { ok: true, type, body, by, value };
}

/** Runs `work` as the only writer; its changes and its act are signed for when this resolves. */
export async function changed<T>(
  log: OrganisationLog,
  work: (rows: Writing) => Promise<Change<T> | Refused>,
): Promise<Answered<T>> {
  const done = await log.append<Answered<T>>(async (rows) => {
    const made = await work(rows);
    if (!made.ok) return { leaves: [], value: made };
    const leaf = await log.actLeaf(made.type, made.body, made.by);
    return { leaves: [leaf], value: answered(made.value) };
  });
  if (done.ok) await log.sign();
  return done;
}
