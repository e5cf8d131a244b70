// A real PostgreSQL for the tests that need one: started by the first that asks, shared by all,
// stopped at the end. `DATABASE_URL_TEST` names another server to use instead.
import { createServer } from 'node:net';
import type { TestProject } from 'vitest/node';
import { startPostgres } from './a-postgres.ts';
import type { RunningPostgres } from './a-postgres.ts';

declare module 'vitest' {
  interface ProvidedContext {
    /** A port of this computer that answers with the address of the server. */
    postgresDoor: number;
  }
}

export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  let server: Promise<RunningPostgres> | null = null;
  const door = createServer((socket) => {
    server ??= startPostgres();
    server.then(
      ({ address }) => socket.end(address),
      (error: unknown) => socket.end(`!${String(error)}`),
    );
  });
  await new Promise<void>((ready) => door.listen(0, '127.0.0.1', ready));
  const place = door.address();
  if (place === null || typeof place === 'string') throw new Error('The door has no port.');
  project.provide('postgresDoor', place.port);
  return async () => {
    door.close();
    await (await server?.catch(() => null))?.stop();
  };
}
