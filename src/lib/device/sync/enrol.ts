/** Lets this device into a server with a code from the office, and changes keys there. */
import { base64url, enrolmentMessage } from '#lib/core/record/index.ts';
import type { Primitives } from '#lib/core/record/index.ts';
import { publicKeys, signerOf } from '../keys.ts';
import { done, failed } from '../trouble.ts';
import type { Result } from '../trouble.ts';
import type { Outbox } from './outbox.ts';
import { ServerLink } from './server-link.ts';
import type { CodeMeaning, Fetch, LinkFailure } from './server-link.ts';
import { logKeyOf } from './witness.ts';

export interface EnrolmentAsked {
  /** Web address of the server. */
  readonly address: string;
  /** As typed or scanned. */
  readonly code: string;
  /** Ids of the people whose keys go with it; each must have a key on this device. */
  readonly people: readonly string[];
}

/** Asks the server what a code is for; nothing is enrolled yet. */
export async function meaningOfCode(
  address: string,
  code: string,
  fetch: Fetch,
): Promise<Result<CodeMeaning>> {
  const meaning = await new ServerLink(address, null, fetch).lookAtCode(plainCode(code));
  return meaning.ok ? done(meaning.value) : notEnrolled(meaning.failure);
}

/** A known device brings the keys of more people; an unknown one becomes known. */
export async function enrolAtServer(
  { address, code: typed, people }: EnrolmentAsked,
  outbox: Outbox,
  fetch: Fetch,
  primitives: Primitives,
): Promise<Result<void>> {
  const known = await outbox.server();
  if (!known.ok) return known;
  if (known.value !== null && known.value.address !== address)
    return failed(
      'server-refused',
      `This device belongs to the server at ${known.value.address}. Nothing was changed.`,
    );
  const code = plainCode(typed);
  const keys = await provenKeys(code, people, outbox);
  if (!keys.ok) return keys;
  const link = new ServerLink(address, known.value?.token ?? null, fetch);
  const info = await link.logInfo();
  if (!info.ok) return notEnrolled(info.failure);
  if (logKeyOf(info.value, primitives)?.name !== info.value.origin)
    return failed('server-refused', 'This address answers, but not as a Stillwire server does.');
  const enrolled = await link.enrol({ code, keys: keys.value });
  if (!enrolled.ok) return notEnrolled(enrolled.failure);
  const token = enrolled.value.token ?? known.value?.token;
  if (token === undefined || known.value !== null) return done(undefined);
  const { device } = enrolled.value;
  const { origin, key } = info.value;
  // The first round looks at its checkpoint, and remembers it once it stands.
  return outbox.keepServer({ address, device, token, origin, key, checkpoint: null });
}

async function provenKeys(code: string, people: readonly string[], outbox: Outbox) {
  const { connection } = outbox.store;
  const known = await publicKeys(connection);
  if (!known.ok) return known;
  const names = await outbox.store.listPeople();
  if (!names.ok) return names;
  const keys = [];
  for (const person of people) {
    const signer = await signerOf(connection, person);
    if (!signer.ok) return signer;
    const key = known.value.find(({ thumbprint }) => thumbprint === signer.value.key);
    if (key === undefined) continue;
    const message = enrolmentMessage({ code, key: key.thumbprint, person });
    keys.push({
      person,
      name: names.value.find(({ id }) => id === person)?.name ?? '',
      publicKey: base64url(key.publicKey),
      proof: base64url(await signer.value.sign(message)),
    });
  }
  return done(keys);
}

/** As the server reads it: the letters that look alike are the same. */
function plainCode(typed: string): string {
  return typed.toUpperCase().replace(/[\s-]/g, '').replaceAll('O', '0').replace(/[IL]/g, '1');
}

function notEnrolled(failure: LinkFailure) {
  if (failure.kind === 'refused') return failed('server-refused', failure.says);
  return failed(
    'server-away',
    'The server cannot be reached just now. Nothing was changed; the work goes on without it. Try again with a signal.',
  );
}
