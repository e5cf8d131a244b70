import { building } from '$app/environment';
import { base } from '$app/paths';
import type { Handle, HandleServerError, ServerInit } from '@sveltejs/kit';
import { openPresentHouse } from '#lib/server/present-house.ts';
import { sessionOf } from '#lib/server/accounts/sessions.ts';
import { house } from '#lib/server/house.ts';
import { officeToken } from '#lib/server/web/office-cookie.ts';
import { securityHeaders } from './setup/headers.mjs';

export const init: ServerInit = async () => {
  // A build draws pages and must not make a database.
  if (!building) await openPresentHouse(process.env, base);
};

// The server of `npm start` says these with every file too; here they hold for `vite dev` as well.
export const handle: Handle = async ({ event, resolve }) => {
  const began = performance.now();
  event.locals.office = null;
  const token = building ? null : officeToken(event.cookies, event.url);
  if (token !== null)
    event.locals.office = await sessionOf(house().database.rows, token, house().now());
  const response = await resolve(event);
  for (const [name, value] of Object.entries(securityHeaders)) response.headers.set(name, value);
  if (!building)
    house().logbook.debug(
      // The route and not the address, which may hold a secret.
      {
        method: event.request.method,
        route: event.route.id,
        status: response.status,
        ms: Math.round(performance.now() - began),
      },
      'answered',
    );
  return response;
};

export const handleError: HandleServerError = ({ error, event, status, message }) => {
  // A wrong address is nobody's fault here, and would fill the log.
  if (status < 500 || building) return { message };
  const { method } = event.request;
  house().logbook.error({ method, route: event.route.id, error: describe(error) }, 'It broke.');
  return { message: 'Something in the server broke, and it has been logged. Try again.' };
};

function describe(error: unknown): string {
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}
