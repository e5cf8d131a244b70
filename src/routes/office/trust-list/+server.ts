import { house } from '#lib/server/house.ts';
import { trustList } from '#lib/server/shares/trust-list.ts';
import { allowed } from '#lib/server/web/office-request.ts';
import type { RequestHandler } from './$types';

/** What a verifier of our bags has to trust, for handing over by another way than the bags. */
export const GET: RequestHandler = async ({ locals }) => {
  allowed(locals, 'share');
  const text = await trustList(house().database.rows, house().log);
  return new Response(text, {
    headers: {
      'Content-Type': 'application/json',
      'Content-Disposition': 'attachment; filename="trust-list.json"',
      'Cache-Control': 'no-store',
    },
  });
};
