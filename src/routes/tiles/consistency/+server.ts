import { house } from '#lib/server/house.ts';
import { consistencyBetween } from '#lib/server/log/receipts.ts';
import { provenTo } from '#lib/server/web/proof-request.ts';
import type { RequestHandler } from './$types';

/** The proof that the tree of `older` leaves begins that of `newer` (RFC 6962 section 2.1.2). */
export const GET: RequestHandler = ({ url }) =>
  provenTo(house(), url, ['older', 'newer'], true, consistencyBetween);
