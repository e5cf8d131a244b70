/**
 * Sends what this device has and the server has not. One round; safe to repeat at any time and to cut
 * anywhere: what counts as sent is what a stored receipt proves.
 */
import type { Primitives } from '#lib/core/record/index.ts';
import type { Trouble } from '../trouble.ts';
import { officeClock, ticksNow } from './office-clock.ts';
import type { OfficeClock } from './office-clock.ts';
import type { Outbox, Outgoing } from './outbox.ts';
import { exchange } from './questions.ts';
import { sendFiles } from './send-files.ts';
import { sendJob } from './send.ts';
import { ServerLink } from './server-link.ts';
import type { Fetch, LinkFailure, LogInfo, ServerSettings } from './server-link.ts';
import { logKeyOf, witness } from './witness.ts';

/**
 * `alone`: no server is known. `sent`: everything has a receipt. `waiting`: the server cannot be reached
 * or is busy. `refused`: it says no to something. `alarm`: it shows another past than before.
 * `trouble`: this device's own store.
 */
export type SyncKind = 'alone' | 'sent' | 'waiting' | 'refused' | 'alarm' | 'trouble';

export interface SyncStatus {
  readonly kind: SyncKind;
  /** Entries without a receipt. */
  readonly unsent: number;
  /** One plain sentence or more. */
  readonly says: string;
  /** Jobs of which the server holds two different pasts. */
  readonly forked: readonly string[];
  /** Seconds to wait before the next round, when the server asks for it. */
  readonly wait?: number;
  /** With `alarm`: the checkpoints that contradict each other. */
  readonly notes?: readonly string[];
  /** How far the clocks are apart, when the server told the time. */
  readonly clock?: OfficeClock;
}

/** Why a round ended early; `says` is for people. */
interface Ended {
  readonly kind: Exclude<SyncKind, 'alone' | 'sent'>;
  readonly says: string;
  readonly wait?: number;
  readonly notes?: readonly string[];
}

const JOBS_AT_ONCE = 100;

export async function syncOnce(
  outbox: Outbox,
  fetch: Fetch,
  primitives: Primitives,
): Promise<SyncStatus> {
  const forked: string[] = [];
  const server = await outbox.server();
  if (!server.ok) return finish(outbox, ofTrouble(server.trouble), forked);
  if (server.value === null) return finish(outbox, null, forked, 'alone');
  const round = new Round(outbox, server.value, fetch, primitives, forked);
  const status = await finish(outbox, await round.run(), forked);
  return round.clock === null ? status : { ...status, clock: round.clock };
}

class Round {
  readonly #outbox: Outbox;
  #server: ServerSettings;
  readonly #link: ServerLink;
  readonly #primitives: Primitives;
  readonly #forked: string[];
  /** How far the clock of this device is from the office's; null when that was not told. */
  clock: OfficeClock | null = null;

  constructor(
    outbox: Outbox,
    server: ServerSettings,
    fetch: Fetch,
    primitives: Primitives,
    forked: string[],
  ) {
    this.#outbox = outbox;
    this.#server = server;
    this.#link = new ServerLink(server.address, server.token, fetch);
    this.#primitives = primitives;
    this.#forked = forked;
  }

  async run(): Promise<Ended | null> {
    const asked = ticksNow();
    const info = await this.#link.logInfo();
    if (info.ok && info.value.at !== undefined)
      this.clock = officeClock(info.value.at, asked, ticksNow());
    if (!info.ok) return ofFailure(info.failure);
    const met = (await this.#meet(info.value)) ?? (await this.#believe(info.value.checkpoint));
    if (met !== null) return met;
    const jobs = await this.#outbox.jobs();
    if (!jobs.ok) return ofTrouble(jobs.trouble);
    let refused: Ended | null = null;
    for (const job of jobs.value.filter(({ row, sent }) => sent < row.count)) {
      const ended = await this.#send(job);
      if (ended?.kind === 'refused') refused ??= ended;
      else if (ended !== null) return ended;
    }
    const ended = await this.#files(jobs.value);
    if (ended === null)
      await exchange(this.#outbox.store, this.#link, this.#server, this.#primitives);
    return ended ?? refused;
  }

  /** Is this the log that the device knows, or the one that has followed it after a restore? */
  async #meet({ origin, key }: LogInfo): Promise<Ended | null> {
    if (origin === this.#server.origin && key === this.#server.key) return null;
    const [known, shown] = [this.#server, { key }].map((one) => logKeyOf(one, this.#primitives));
    const sameKey = known?.publicKey.join() === shown?.publicKey.join();
    if (
      known === null ||
      shown?.name !== origin ||
      !sameKey ||
      !follows(this.#server.origin, origin)
    )
      return { kind: 'alarm', says: ANOTHER_LOG, notes: [this.#server.key, key] };
    const jobs = await this.#outbox.jobs();
    if (!jobs.ok) return ofTrouble(jobs.trouble);
    // What was signed after the backup is gone there, and is sent again from here.
    const heads = await this.#heads(jobs.value.map(({ row }) => row.job));
    if (!heads.ok) return ofFailure(heads.failure);
    for (const { row, sent } of jobs.value) {
      const count = heads.value.get(row.job)?.count ?? 0;
      if (count >= sent) continue;
      const forgotten = await this.#outbox.forgetReceipts(row.job, count);
      if (!forgotten.ok) return ofTrouble(forgotten.trouble);
    }
    return this.#keep({ ...this.#server, origin, key, checkpoint: null });
  }

  async #keep(server: ServerSettings): Promise<Ended | null> {
    const kept = await this.#outbox.keepServer(server);
    if (!kept.ok) return ofTrouble(kept.trouble);
    this.#server = server;
    return null;
  }

  /** A checkpoint that the server shows, held to the newest one that was verified here. */
  async #believe(checkpoint: string | null): Promise<Ended | null> {
    if (checkpoint === null || checkpoint === this.#server.checkpoint) return null;
    const seen = await witness(checkpoint, this.#server, this.#link, this.#primitives);
    if (seen.kind === 'unknown') return ofFailure(seen.reply.failure);
    if (seen.kind === 'broken') return { kind: 'alarm', says: seen.says, notes: seen.notes };
    return this.#keep({ ...this.#server, checkpoint: seen.checkpoint });
  }

  async #send(job: Outgoing): Promise<Ended | null> {
    const logKey = logKeyOf(this.#server, this.#primitives);
    if (logKey === null) return { kind: 'alarm', says: ANOTHER_LOG };
    const [outbox, link, primitives] = [this.#outbox, this.#link, this.#primitives];
    const sent = await sendJob(job, { outbox, link, logKey, primitives });
    if (sent.kind === 'failed') return ofFailure(sent.failure);
    if (sent.kind === 'trouble') return ofTrouble(sent.trouble);
    if (sent.kind === 'stopped') return { kind: 'refused', says: sent.says };
    if (sent.forked) this.#forked.push(job.row.job);
    return this.#believe(sent.checkpoint);
  }

  async #files(jobs: readonly Outgoing[]): Promise<Ended | null> {
    const heads = await this.#heads(jobs.map(({ row }) => row.job));
    if (!heads.ok) return ofFailure(heads.failure);
    for (const head of heads.value.values()) {
      if (head.forked && !this.#forked.includes(head.job)) this.#forked.push(head.job);
      const failure = await sendFiles(head, this.#outbox, this.#link);
      if (failure !== null) return ofFailure(failure);
    }
    return null;
  }

  async #heads(jobs: readonly string[]) {
    const heads = new Map<string, Parameters<typeof sendFiles>[0]>();
    for (let at = 0; at < jobs.length; at += JOBS_AT_ONCE) {
      const reply = await this.#link.heads(jobs.slice(at, at + JOBS_AT_ONCE));
      if (!reply.ok) return reply;
      for (const head of reply.value.heads) heads.set(head.job, head);
    }
    return { ok: true as const, value: heads };
  }
}

/** `…/2` comes after `…/1`. */
function follows(older: string, newer: string): boolean {
  const [one, other] = [older, newer].map((origin) => /^(.*)\/(\d+)$/.exec(origin));
  return one?.[1] === other?.[1] && Number(other?.[2]) > Number(one?.[2]);
}

async function finish(
  outbox: Outbox,
  ended: Ended | null,
  forked: readonly string[],
  otherwise: 'alone' | 'sent' = 'sent',
): Promise<SyncStatus> {
  const counted = await outbox.unsent();
  const unsent = counted.ok ? counted.value : 0;
  if (ended === null && !counted.ok) ended = ofTrouble(counted.trouble);
  if (ended !== null) return { ...ended, unsent, forked };
  return {
    kind: otherwise,
    unsent,
    says: otherwise === 'sent' ? ALL_SENT : notSent(unsent),
    forked,
  };
}

/** The line on the screen. */
export function notSent(unsent: number): string {
  return unsent === 1 ? '1 entry not sent yet.' : `${unsent} entries not sent yet.`;
}

const ALL_SENT = 'Everything recorded here is with the server.';

const ANOTHER_LOG =
  'The server shows another log than the one this device was let into. Nothing was sent, and everything stays on this device. Tell the person who looks after the records.';

function ofTrouble(trouble: Trouble): Ended {
  return { kind: 'trouble', says: trouble.says };
}

function ofFailure(failure: LinkFailure): Ended {
  switch (failure.kind) {
    case 'unreachable':
      return {
        kind: 'waiting',
        says: 'The server cannot be reached. The work goes on without it.',
      };
    case 'busy':
      return {
        kind: 'waiting',
        says: 'The server asks to wait a little. The work goes on without it.',
        wait: failure.seconds,
      };
    case 'refused':
      return { kind: 'refused', says: failure.says };
  }
}
