/**
 * What the program says about itself while it runs: one JSON object a line, on standard error, in UTC.
 *
 * Never in it: names, addresses, entries, tokens, codes, the address of a visitor.
 */
import { pino } from 'pino';
import type { Logger } from 'pino';
import type { LogLevel } from './settings.ts';

export type Logbook = Logger;

export function openLogbook(level: LogLevel): Logbook {
  return pino(
    {
      level,
      base: null,
      messageKey: 'says',
      timestamp: () => `,"at":"${new Date().toISOString()}"`,
      formatters: { level: (label) => ({ level: label }) },
      // A last net under the rule above: whatever object is handed over, these never get out.
      redact: {
        paths: ['name', 'token', 'code', 'password', 'line', '*.name', '*.token', '*.password'],
        remove: true,
      },
    },
    pino.destination({ fd: 2, sync: false }),
  );
}
