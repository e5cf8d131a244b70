import type { Handle, HandleServerError } from '@sveltejs/kit';
import { securityHeaders } from './setup/headers.mjs';

// The server of `npm start` says these with every file too; here they hold for `vite dev` as well.
export const handle: Handle = async ({ event, resolve }) => {
  const response = await resolve(event);
  for (const [name, value] of Object.entries(securityHeaders)) response.headers.set(name, value);
  return response;
};

export const handleError: HandleServerError = ({ error, event, status, message }) => {
  // A wrong address is nobody's fault here, and would fill the log.
  if (status < 500) return { message };
  process.stderr.write(`${event.request.method} ${event.url.pathname}: ${describe(error)}\n`);
  return { message: 'Something in the server broke, and it has been logged. Try again.' };
};

function describe(error: unknown): string {
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}
