/** After the entries of a job: what they name and the server still misses. */
import { readPhoto } from '../photo-chunks.ts';
import type { Outbox } from './outbox.ts';
import type { JobHead, LinkFailure, ServerLink } from './server-link.ts';

const PART_BYTES = 1024 * 1024;
const DISCLOSURES_AT_ONCE = 200;

/** The failure that stopped it; null when everything that is kept here was sent. */
export async function sendFiles(
  head: JobHead,
  outbox: Outbox,
  link: ServerLink,
): Promise<LinkFailure | null> {
  return (
    (await sendChecklist(head, outbox, link)) ??
    (await sendDisclosures(head.job, outbox, link)) ??
    (await sendPhotos(head.photos, outbox, link))
  );
}

async function sendChecklist(
  { checklist }: JobHead,
  outbox: Outbox,
  link: ServerLink,
): Promise<LinkFailure | null> {
  if (checklist === undefined) return null;
  const kept = await outbox.checklist(checklist);
  if (!kept.ok) return null;
  return serious(await link.sendChecklist(checklist, kept.value.text));
}

async function sendDisclosures(
  job: string,
  outbox: Outbox,
  link: ServerLink,
): Promise<LinkFailure | null> {
  const kept = await outbox.store.disclosuresOf(job);
  const sent = await outbox.disclosuresSent(job);
  if (!kept.ok || !sent.ok || kept.value.length <= sent.value) return null;
  const all = kept.value.map(({ seq, disclosure }) => ({ seq, disclosure }));
  for (let at = 0; at < all.length; at += DISCLOSURES_AT_ONCE) {
    const reply = await link.sendDisclosures(job, all.slice(at, at + DISCLOSURES_AT_ONCE));
    if (!reply.ok) return serious(reply);
  }
  await outbox.rememberDisclosures(job, all.length);
  return null;
}

async function sendPhotos(
  photos: readonly string[],
  outbox: Outbox,
  link: ServerLink,
): Promise<LinkFailure | null> {
  for (const sha256 of photos) {
    // One that was taken on another device comes from there.
    const kept = await readPhoto(outbox.store.connection, sha256);
    if (!kept.ok) continue;
    const failure = await sendPhoto(sha256, kept.value.bytes, link);
    if (failure !== null) return failure;
  }
  return null;
}

async function sendPhoto(
  sha256: string,
  bytes: Uint8Array,
  link: ServerLink,
): Promise<LinkFailure | null> {
  const state = await link.photoState(sha256);
  if (!state.ok) return serious(state);
  let { received } = state.value;
  while (!state.value.complete && received < bytes.length) {
    const part = bytes.subarray(received, received + PART_BYTES);
    const reply = await link.sendPhotoPart(sha256, received, bytes.length, part);
    if (!reply.ok) return serious(reply);
    if (reply.value.complete || reply.value.received <= received) return null;
    received = reply.value.received;
  }
  return null;
}

/** One file that the server does not want must not hold up the others. */
function serious(
  reply: { readonly ok: true } | { readonly ok: false; readonly failure: LinkFailure },
): LinkFailure | null {
  return reply.ok || reply.failure.kind === 'refused' ? null : reply.failure;
}
