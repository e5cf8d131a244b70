import { house } from '#lib/server/house.ts';
import { inclusionIn } from '#lib/server/log/receipts.ts';
import { provenTo } from '#lib/server/web/proof-request.ts';
import type { RequestHandler } from './$types';

/** The audit path of leaf `index` in the tree of `size` leaves (RFC 6962 section 2.1.1). */
export const GET: RequestHandler = ({ url }) =>
  provenTo(house(), url, ['index', 'size'], false, inclusionIn);
