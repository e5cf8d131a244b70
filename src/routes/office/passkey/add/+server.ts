import type { RegistrationResponseJSON } from '@simplewebauthn/server';
import { addPasskey, partyOf } from '#lib/server/accounts/passkeys.ts';
import { house } from '#lib/server/house.ts';
import { refused } from '#lib/server/refusal.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromOwnPage } from '#lib/server/web/office-request.ts';
import { NOT_OWN_PAGE, refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

export const POST: RequestHandler = async ({ request, url, locals }) => {
  if (!fromOwnPage(request, url)) return refusal(NOT_OWN_PAGE);
  if (locals.office === null)
    return refusal(refused(401, 'signed-out', 'Sign in first; the session has ended.'));
  const body = await readJson(request);
  if (!body.ok) return refusal(body);
  const { label, response } = (body.value ?? {}) as {
    label?: unknown;
    response?: RegistrationResponseJSON;
  };
  if (typeof label !== 'string' || typeof response?.response !== 'object')
    return refusal(refused(422, 'bad-request', 'This is no answer of a passkey.'));
  const party = partyOf(house().settings.origin ?? url.origin);
  return reply(await addPasskey(house(), locals.office, party, response, label));
};
