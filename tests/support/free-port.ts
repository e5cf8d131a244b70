import { randomInt } from 'node:crypto';
import { createServer } from 'node:net';

/**
 * Below what Linux (32768) and the others (49152, IANA) hand out by themselves: there, any outgoing
 * connection of another test might take the port between this look and its use, or while its server is down.
 */
const [LOWEST, BEYOND] = [15_000, 32_000];

/** @returns a port of this computer that nobody listens on at the moment */
export async function freePort(): Promise<number> {
  for (let tries = 0; tries < 100; tries += 1) {
    const port = randomInt(LOWEST, BEYOND);
    if (await isFree(port)) return port;
  }
  throw new Error(`No port between ${LOWEST} and ${BEYOND} is free.`);
}

function isFree(port: number): Promise<boolean> {
  return new Promise((found) => {
    const probe = createServer();
    probe.once('error', () => found(false));
    probe.listen(port, '127.0.0.1', () => probe.close(() => found(true)));
  });
}
