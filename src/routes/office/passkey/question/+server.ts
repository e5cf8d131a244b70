import { offerRegistration, offerSignIn, partyOf } from '#lib/server/accounts/passkeys.ts';
import { house } from '#lib/server/house.ts';
import { refused } from '#lib/server/refusal.ts';
import { readJson } from '#lib/server/web/body.ts';
import { fromStranger } from '#lib/server/web/device-request.ts';
import { fromOwnPage } from '#lib/server/web/office-request.ts';
import { NOT_OWN_PAGE, refusal } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** What a passkey is to answer: for signing in, or for being added to the account that is signed in. */
export const POST: RequestHandler = ({ request, url, locals, getClientAddress }) =>
  fromStranger(house(), getClientAddress(), async () => {
    if (!fromOwnPage(request, url)) return refusal(NOT_OWN_PAGE);
    const body = await readJson(request);
    if (!body.ok) return refusal(body);
    const party = partyOf(house().settings.origin ?? url.origin);
    const adds = (body.value as { add?: unknown } | null)?.add === true;
    if (!adds) return Response.json(await offerSignIn(house(), party));
    if (locals.office === null)
      return refusal(refused(401, 'signed-out', 'Sign in first; the session has ended.'));
    return Response.json(await offerRegistration(house(), locals.office, party));
  });
