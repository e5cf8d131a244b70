import { createServer } from 'node:net';

/** @returns a port of this computer that nobody listens on at the moment */
export function freePort(): Promise<number> {
  return new Promise((found, fail) => {
    const probe = createServer();
    probe.once('error', fail);
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address();
      probe.close(() => {
        if (address !== null && typeof address === 'object') found(address.port);
        else fail(new Error('The probe has no port.'));
      });
    });
  });
}
