/**
 * Joining by a code between two devices that need no server: the device that writes the job keeps one
 * invitation, somebody else's device signs its code, and the answer comes back as an address or as text.
 */
import {
  base64url,
  canonicalBytes,
  fromBase64url,
  joinCode,
  JOIN_MINUTES,
  joiningFault,
  joiningMessage,
  NONCE_BYTES,
  parseCanonical,
  plainJoinCode,
  thumbprintOf,
} from '#lib/core/record/index.ts';
import type { SignedJoining } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { z } from 'zod/mini';
import { wallTime } from './clock.ts';
import type { Connection } from './connection.ts';
import { keyedRow, newPair, signerOf } from './keys.ts';
import type { Recorded } from './read-job.ts';
import { done } from './trouble.ts';
import type { Result } from './trouble.ts';

/** What a device keeps of the code that it shows: one for each job, until somebody has joined by it. */
interface Kept {
  readonly job: string;
  readonly nonce: string;
  /** RFC 3339. */
  readonly until: string;
  /** For whoever joins; the private half leaves it wrapped with their PIN, or with the next code. */
  readonly pair: CryptoKeyPair;
  readonly code: string;
}

export interface Shown {
  /** Twelve letters. */
  readonly code: string;
  readonly until: string;
}

const invitationOf = (job: string) => `invitation/${job}`;
const answerOf = (job: string) => `answer/${job}`;

/** A fresh code for this job; the one before is good no more. @param now milliseconds since 1970 */
export async function invite(
  connection: Connection,
  job: string,
  now: number,
): Promise<Result<Shown>> {
  const pair = await newPair(true);
  if (!pair.ok) return pair;
  const keyed = await keyedRow('', '', pair.value.publicKey);
  if (!keyed.ok) return keyed;
  const nonce = base64url(crypto.getRandomValues(new Uint8Array(NONCE_BYTES)));
  const until = wallTime(new Date(now + JOIN_MINUTES * 60_000));
  const code = joinCode({ job, hand: keyed.value.thumbprint, nonce, until }, purePrimitives);
  const kept: Kept = { job, nonce, until, pair: pair.value, code };
  const saved = await connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put(kept, invitationOf(job));
    await tx.objectStore('settings').delete(answerOf(job));
    return done(undefined);
  });
  return saved.ok ? done({ code, until }) : saved;
}

/** The code that is shown for this job, while it is good. */
export async function shownFor(
  connection: Connection,
  job: string,
  now: number,
): Promise<Result<Shown | null>> {
  const kept = await keptFor(connection, job);
  if (!kept.ok || kept.value === null) return kept;
  const { code, until } = kept.value;
  return done(Date.parse(until) > now ? { code, until } : null);
}

/** The code has let somebody in, or is taken back. */
export function endInvitation(connection: Connection, job: string): Promise<Result<void>> {
  return connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').delete(invitationOf(job));
    await tx.objectStore('settings').delete(answerOf(job));
    return done(undefined);
  });
}

async function keptFor(connection: Connection, job: string): Promise<Result<Kept | null>> {
  return connection.read(['settings'], async (tx) => {
    const kept: unknown = await tx.objectStore('settings').get(invitationOf(job));
    return done((kept as Kept | undefined) ?? null);
  });
}

const text = z.string().check(z.minLength(1), z.maxLength(128));
const answer = z.strictObject({
  code: text,
  competence: z.array(text).check(z.maxLength(20)),
  name: text,
  own: text,
  person: text,
  signature: text,
});

/** What comes back from the device of whoever joins. */
export type JoinAnswer = z.infer<typeof answer>;

export interface Joiner {
  readonly id: string;
  readonly name: string;
  readonly competence: readonly string[];
}

/** Signs a code with the key that somebody has on this device. */
export async function answerCode(
  connection: Connection,
  { id: person, name, competence }: Joiner,
  code: string,
): Promise<Result<string>> {
  const hand = await signerOf(connection, person);
  if (!hand.ok) return hand;
  const { key, publicKey, sign } = hand.value;
  const signature = base64url(await sign(joiningMessage({ code, key, person })));
  const own = base64url(publicKey);
  const said: JoinAnswer = { code, competence: [...competence], name, own, person, signature };
  return done(base64url(canonicalBytes(said)));
}

const MARK = 'answer=';

/** An answer as it was read, pasted or opened: the address or its last part alone. Null if it is none. */
export function readAnswer(said: string): JoinAnswer | null {
  const trimmed = said.replace(/\s/g, '');
  const at = trimmed.lastIndexOf(MARK);
  const bytes = fromBase64url(at === -1 ? trimmed : trimmed.slice(at + MARK.length));
  if (bytes === null) return null;
  const parsed = parseCanonical(bytes, { bytes: 4096, depth: 3, numbers: 'integers' });
  const read = parsed.ok ? answer.safeParse(parsed.value) : undefined;
  if (!read?.success || plainJoinCode(read.data.code) !== read.data.code) return null;
  return read.data;
}

/** Why an answer is not taken; each has words of its own. */
export type AnswerRefused = 'unreadable' | 'other' | 'used' | 'late' | 'signature';

export interface Answered {
  readonly joiner: Joiner;
  readonly how: SignedJoining;
  /** Made for them here. */
  readonly pair: CryptoKeyPair;
}

/**
 * Holds an answer against the code that this job shows now.
 * @param entries the record so far, which tells who has joined by which code
 */
export async function checkAnswer(
  connection: Connection,
  job: string,
  said: string,
  { entries, now }: { readonly entries: readonly Recorded[]; readonly now: number },
): Promise<Result<Answered | AnswerRefused>> {
  const read = readAnswer(said);
  if (read === null) return done('unreadable');
  if (entries.some((each) => codeOf(each) === read.code)) return done('used');
  const kept = await keptFor(connection, job);
  if (!kept.ok) return kept;
  if (kept.value?.code !== read.code) return done('other');
  const { nonce, until, pair } = kept.value;
  const keyed = await keyedRow('', '', pair.publicKey);
  if (!keyed.ok) return keyed;
  const { own, signature, person, name, competence } = read;
  const how: SignedJoining = { own, nonce, until, signature };
  const at = wallTime(new Date(now));
  const joining = { job, hand: keyed.value.thumbprint, person, how, at };
  const fault = await joiningFault(joining, purePrimitives);
  if (fault !== null) return done(fault === 'late' ? 'late' : 'signature');
  return done({ joiner: { id: person, name, competence }, how, pair });
}

/** The code by which the person of an entry joined, if it tells of that. */
function codeOf({ sealed, event }: Recorded): string | null {
  const how = event.type === 'person.joined' ? event.body.hand : undefined;
  if (how?.by !== 'code') return null;
  const { job, key: hand } = sealed.entry;
  return joinCode({ job, hand, nonce: how.nonce, until: how.until }, purePrimitives);
}

/** Names the key of somebody who joined by a code as their own device has it. */
export function ownKeyOf({ own }: SignedJoining): string {
  return thumbprintOf(fromBase64url(own) ?? new Uint8Array(), purePrimitives);
}

/** Leaves an answer for the job whose code it is for: its number, or null when no job here shows it. */
export async function leaveAnswer(
  connection: Connection,
  said: string,
): Promise<Result<string | null>> {
  const read = readAnswer(said);
  if (read === null) return done(null);
  return connection.write(['settings'], async (tx) => {
    const settings = tx.objectStore('settings');
    const from = IDBKeyRange.bound(invitationOf(''), invitationOf('￿'));
    const all = (await settings.getAll(from)) as readonly Kept[];
    const job = all.find(({ code }) => code === read.code)?.job;
    if (job !== undefined) await settings.put(said, answerOf(job));
    return done(job ?? null);
  });
}

/** An answer that another page of this device has left. */
export async function waitingAnswer(
  connection: Connection,
  job: string,
): Promise<Result<string | null>> {
  return connection.read(['settings'], async (tx) => {
    const kept: unknown = await tx.objectStore('settings').get(answerOf(job));
    return done(typeof kept === 'string' ? kept : null);
  });
}

const CHANNEL = 'stillwire-answers';

/** Tells the page of the job that an answer was left for it. */
export function tellAnswer(job: string): void {
  const channel = new BroadcastChannel(CHANNEL);
  channel.postMessage(job);
  channel.close();
}

/** @returns how to stop listening */
export function hearAnswers(job: string, heard: () => void): () => void {
  const channel = new BroadcastChannel(CHANNEL);
  channel.onmessage = (message: MessageEvent<unknown>) => {
    if (message.data === job) heard();
  };
  return () => channel.close();
}
