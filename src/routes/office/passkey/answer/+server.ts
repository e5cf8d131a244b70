import type { AuthenticationResponseJSON } from '@simplewebauthn/server';
import { partyOf, signInWithPasskey } from '#lib/server/accounts/passkeys.ts';
import { house } from '#lib/server/house.ts';
import { answered, refused } from '#lib/server/refusal.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromStranger } from '#lib/server/web/device-request.ts';
import { setOfficeToken } from '#lib/server/web/office-cookie.ts';
import { fromOwnPage } from '#lib/server/web/office-request.ts';
import { NOT_OWN_PAGE, refusal, reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

export const POST: RequestHandler = ({ request, url, cookies, getClientAddress }) =>
  fromStranger(house(), getClientAddress(), async () => {
    if (!fromOwnPage(request, url)) return refusal(NOT_OWN_PAGE);
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const response = body.value as AuthenticationResponseJSON | null;
    if (typeof response?.id !== 'string' || typeof response.response !== 'object')
      return refusal(refused(422, 'bad-request', 'This is no answer of a passkey.'));
    const party = partyOf(house().settings.origin ?? url.origin);
    const signedIn = await signInWithPasskey(house(), party, response);
    if (!signedIn.ok) return refusal(signedIn);
    setOfficeToken(cookies, url, signedIn.value.token);
    return reply(answered({}));
  });
