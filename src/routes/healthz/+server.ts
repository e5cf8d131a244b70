import { version } from '$app/environment';
import type { RequestHandler } from './$types';

/** Whether this server answers, and which build it is; it looks at nothing else. */
export const GET: RequestHandler = () =>
  Response.json({ ok: true, version }, { headers: { 'Cache-Control': 'no-store' } });
