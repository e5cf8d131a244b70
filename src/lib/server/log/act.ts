/**
 * Acts: what is done at the server itself (a key enrolled or revoked, an account made, a link given)
 * is a leaf of the tree like the entries of jobs, signed by the key of the log.
 *
 * One canonical line, `{"act":{…},"sig":"…"}`. Ids only, never names: an act cannot be erased.
 */
import {
  base64url,
  canonicalBytes,
  checkedKey,
  flawed,
  fromBase64url,
  good,
  instantOf,
  joined,
  LINE_BOUNDS,
  parseCanonical,
  preAuthentication,
  utf8,
  verifyWithCheckedKey,
} from '#lib/core/record/index.ts';
import type { Body, Json, Outcome } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { NodeKey } from '#lib/crypto/node.ts';

export const ACT_TYPE = 'application/vnd.stillwire.act.v1+json';

export const ACT_TYPES = [
  'log.begun',
  'device.enrolled',
  'device.revoked',
  'key.enrolled',
  'key.changed',
  'key.revoked',
  'enrolment.offered',
  'account.made',
  'account.roleChanged',
  'account.disabled',
  'account.passwordSet',
  'account.passkeyAdded',
  'account.passkeyRemoved',
  'flag.settled',
  'clock.taken',
  'clock.settled',
  'share.made',
  'share.opened',
  'share.ended',
  'look.asked',
  'look.answered',
  'look.noted',
  'look.closed',
  'job.noted',
  'job.countersigned',
  'job.amended',
  'start.released',
  'inspection.made',
  'keeping.made',
  'keeping.ended',
  'sample.drawn',
  'limit.set',
] as const;
export type ActType = (typeof ACT_TYPES)[number];

export interface Act {
  /** When, by the server's clock, RFC 3339 in UTC. */
  readonly at: string;
  readonly body: Body;
  /** Id of an account or a device; `console` for who started the server, `server` for itself. */
  readonly by: string;
  /** Origin of the log: an act of one log cannot be shown as one of another. */
  readonly log: string;
  readonly type: ActType;
  readonly v: 1;
}

export interface SealedAct {
  readonly act: Act;
  readonly line: Uint8Array;
  readonly sig: string;
}

const OPENING = '{"act":';
const TAIL = ',"sig":""}'.length + 86;
const FIELDS = 'at,body,by,log,type,v';

export async function sealAct(act: Act, key: NodeKey): Promise<Uint8Array> {
  const payload = canonicalBytes(act);
  const signature = await key.sign(preAuthentication(ACT_TYPE, payload));
  return joined(utf8(OPENING), payload, utf8(`,"sig":"${base64url(signature)}"}`));
}

/** Reads a line for its form. */
export function readAct(line: Uint8Array): Outcome<SealedAct> {
  const read = parseCanonical(line, LINE_BOUNDS);
  if (!read.ok) return read;
  const { act, sig } = (read.value ?? {}) as { act?: Json; sig?: Json };
  if (typeof sig !== 'string' || fromBase64url(sig)?.length !== 64 || !isAct(act))
    return flawed('bad-field', 'The line is not an act of a server as this program writes it.');
  return good({ act, line, sig });
}

function isAct(value: Json | undefined): value is Json & Act {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return false;
  const act = value as Partial<Act>;
  return (
    Object.keys(act).join() === FIELDS &&
    act.v === 1 &&
    typeof act.at === 'string' &&
    instantOf(act.at) !== null &&
    typeof act.by === 'string' &&
    typeof act.log === 'string' &&
    typeof act.body === 'object' &&
    act.body !== null &&
    (ACT_TYPES as readonly unknown[]).includes(act.type)
  );
}

/** Did the log sign this act? */
export async function actStands(sealed: SealedAct, publicKey: Uint8Array): Promise<boolean> {
  const payload = sealed.line.subarray(OPENING.length, sealed.line.length - TAIL);
  const signature = fromBase64url(sealed.sig) ?? new Uint8Array();
  const message = preAuthentication(ACT_TYPE, payload);
  if (!checkedKey(publicKey).ok) return false;
  return verifyWithCheckedKey(nodePrimitives, publicKey, message, signature);
}
