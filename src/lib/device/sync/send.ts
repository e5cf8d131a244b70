/** Sends the entries of one job, in order, as the bytes they are stored as. */
import { openReceipt, utf8 } from '#lib/core/record/index.ts';
import { fromHex, readLine } from '#lib/core/record/index.ts';
import type { NoteKey, Primitives } from '#lib/core/record/index.ts';
import type { Trouble } from '../trouble.ts';
import type { Outbox, Outgoing } from './outbox.ts';
import type { EntryAnswer, LinkFailure, ServerLink } from './server-link.ts';

const MOST_ENTRIES = 200;
const MOST_BYTES = 1024 * 1024;

export type Sent =
  | { readonly kind: 'sent'; readonly checkpoint: string | null; readonly forked: boolean }
  | { readonly kind: 'failed'; readonly failure: LinkFailure }
  | { readonly kind: 'trouble'; readonly trouble: Trouble }
  /** The server says no to an entry, or answers with what does not prove anything. */
  | { readonly kind: 'stopped'; readonly code: string; readonly says: string };

export interface Sending {
  readonly outbox: Outbox;
  readonly link: ServerLink;
  readonly logKey: NoteKey;
  readonly primitives: Primitives;
}

type Checkpoints = (checkpoint: string) => void;

/** Until the server has all of the job, or something is in the way. */
export async function sendJob(job: Outgoing, sending: Sending): Promise<Sent> {
  let { sent } = job;
  let checkpoint: string | null = null;
  let forked = false;
  let goneBack = false;
  while (sent < job.row.count) {
    const step = await sendSome(job.row.job, sent, sending, (note) => (checkpoint = note));
    if (step.kind !== 'some') return step;
    forked ||= step.forked;
    // A server that has lost entries says so once; one that never has enough is not followed round.
    if (step.next < sent && goneBack) return stopped('gap', NEVER_ENOUGH);
    goneBack ||= step.next < sent;
    if (step.next === sent) return stopped('gap', NEVER_ENOUGH);
    sent = step.next;
  }
  return { kind: 'sent', checkpoint, forked };
}

type Step = { readonly kind: 'some'; readonly next: number; readonly forked: boolean };

async function sendSome(
  job: string,
  seq: number,
  { outbox, link, logKey, primitives }: Sending,
  checkpoint: Checkpoints,
): Promise<Exclude<Sent, { kind: 'sent' }> | Step> {
  const lines = await outbox.lines(job, seq, MOST_ENTRIES, MOST_BYTES);
  if (!lines.ok) return { kind: 'trouble', trouble: lines.trouble };
  const reply = await link.sendEntries(lines.value);
  if (!reply.ok) return { kind: 'failed', failure: reply.failure };
  const { entries } = reply.value;
  if (entries.length !== lines.value.length) return stopped('bad-answer', UNPROVEN);
  const proven = await provenOf(entries, lines.value, logKey, primitives);
  const kept = await outbox.keepReceipts(job, seq, proven.receipts);
  if (!kept.ok) return { kind: 'trouble', trouble: kept.trouble };
  checkpoint(reply.value.checkpoint);
  const next = seq + proven.receipts.length;
  if (proven.receipts.length === entries.length)
    return { kind: 'some', next, forked: proven.forked };
  const first = entries[proven.receipts.length];
  if (first?.status !== 'rejected') return stopped('bad-answer', UNPROVEN);
  if (first.code !== 'gap' || first.expected === undefined || first.expected >= next)
    return stopped(first.code, first.says);
  const forgotten = await outbox.forgetReceipts(job, first.expected);
  if (!forgotten.ok) return { kind: 'trouble', trouble: forgotten.trouble };
  return { kind: 'some', next: first.expected, forked: proven.forked };
}

/** The receipts from the first entry on, as far as each of them stands. */
async function provenOf(
  entries: readonly EntryAnswer[],
  lines: readonly Uint8Array[],
  logKey: NoteKey,
  primitives: Primitives,
): Promise<{ readonly receipts: readonly string[]; readonly forked: boolean }> {
  const receipts: string[] = [];
  let forked = false;
  for (const [at, answer] of entries.entries()) {
    const read = readLine(lines[at] ?? new Uint8Array(), primitives);
    if (answer.status === 'rejected' || !read.ok) break;
    const leaf = fromHex(read.value.hash) ?? new Uint8Array();
    const opened = await openReceipt(utf8(answer.receipt), leaf, [logKey], primitives);
    if (!opened.ok || opened.value.index !== answer.index) break;
    receipts.push(answer.receipt);
    forked ||= answer.status === 'forked';
  }
  return { receipts, forked };
}

const stopped = (code: string, says: string): Extract<Sent, { kind: 'stopped' }> => ({
  kind: 'stopped',
  code,
  says,
});

const UNPROVEN =
  'The server answered with receipts that prove nothing, so the entries count as not sent. They stay on this device. Tell the person who looks after the records.';

const NEVER_ENOUGH =
  'The server asks for entries again that it has given receipts for. They stay on this device. Tell the person who looks after the records.';
