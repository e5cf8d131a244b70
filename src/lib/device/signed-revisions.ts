/**
 * Revisions that a qualified person has signed for use at a place: a statement over the identity of the
 * checklist, kept on this device, and told in the record of each job that runs on it here.
 *
 * The signature shows which key said so about which file. Whether that person was qualified is for the
 * reader to judge.
 */
import {
  base64url,
  canonicalBytes,
  canonicalText,
  fromBase64url,
  preAuthentication,
  verifyStrictly,
} from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import type { Connection } from './connection.ts';
import { signerOf } from './keys.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

export const SIGNED_TYPE = 'application/vnd.stillwire.signed-checklist.v1+json';

export interface SignedStatement {
  /** Identity of the checklist, 64 hex digits. */
  readonly checklist: string;
  readonly id: string;
  readonly revision: number;
  /** Where it may be used. */
  readonly place: string;
  /** Person id of the one who signed, and the public key, Base 64 without padding. */
  readonly by: string;
  readonly key: string;
  /** Wall time, RFC 3339. */
  readonly at: string;
}

export interface SignedRevision {
  readonly statement: SignedStatement;
  /** Base 64 without padding. */
  readonly sig: string;
}

const KEY = 'signed:';

const messageOf = (statement: SignedStatement) =>
  preAuthentication(SIGNED_TYPE, canonicalBytes(statement));

/** Signs a revision for a place and keeps that: `no-key` when the person was never enrolled here. */
export async function signRevision(
  connection: Connection,
  said: Omit<SignedStatement, 'key'>,
): Promise<Result<SignedRevision>> {
  const hand = await signerOf(connection, said.by);
  if (!hand.ok) return hand;
  const statement: SignedStatement = { ...said, key: base64url(hand.value.publicKey) };
  const sig = base64url(await hand.value.sign(messageOf(statement)));
  const signed: SignedRevision = { statement, sig };
  return connection.write(['settings'], async (tx) => {
    await tx.objectStore('settings').put(signed, KEY + said.checklist);
    return done(signed);
  });
}

/** Whether the signature is that of the key that the statement names, over this very statement. */
export async function isSignedWell({ statement, sig }: SignedRevision): Promise<boolean> {
  const [key, signature] = [fromBase64url(statement.key), fromBase64url(sig)];
  if (key === null || signature === null) return false;
  return verifyStrictly(purePrimitives, key, messageOf(statement), signature);
}

/** The signature for this checklist here; null when nobody signed it, `damaged` when it does not verify. */
export async function signedRevision(
  connection: Connection,
  checklist: string,
): Promise<Result<SignedRevision | null>> {
  const kept = await connection.read(['settings'], async (tx) =>
    done((await tx.objectStore('settings').get(KEY + checklist)) as SignedRevision | undefined),
  );
  if (!kept.ok) return kept;
  const signed = kept.value;
  if (signed === undefined) return done(null);
  if (signed.statement.checklist === checklist && (await isSignedWell(signed))) return done(signed);
  return failed(
    'damaged',
    `The signature kept for this checklist (${checklist.slice(0, 8)}…) does not verify, so it counts as unsigned. Nothing was deleted. Read the checklist again and sign it anew.`,
  );
}

const NOTE = 'this revision of the checklist was signed for use:';

/** What the record of a job says about it: the whole statement, so that a stranger can check it. */
export function signatureSays({ statement, sig }: SignedRevision): string {
  return `${NOTE} ${canonicalText(statement)} signature ${sig}`;
}

/** Whether a note of a record is such a statement. */
export const isSignatureNote = (what: string): boolean => what.startsWith(NOTE);
