/**
 * A collecting server in a process of its own, to be killed: takes batches over the channel to its
 * parent and answers them as the endpoint would.
 */
import { mkdirSync } from 'node:fs';
import { flushCompileCache } from 'node:module';
import { Database } from '#lib/server/database/database.ts';
import type { Place } from '#lib/server/database/database.ts';
import { Ingest } from '#lib/server/ingest/ingest.ts';
import { logKey } from '#lib/server/log/log-key.ts';
import { openLog } from '#lib/server/log/open-log.ts';
import { OutsideCheckpoint } from '#lib/server/log/outside-checkpoint.ts';
import { join } from 'node:path';

export interface Asked {
  readonly no: number;
  readonly lines: readonly string[];
}

const [place, folder, device] = JSON.parse(process.argv[2] ?? '') as [Place, string, string];
mkdirSync(folder, { recursive: true });
const database = await Database.open(place);
const key = logKey(join(folder, 'log-key'));
const outside = new OutsideCheckpoint(folder);
const log = await openLog({
  database,
  key,
  outside,
  name: 'records.example/crew',
  now: Date.now,
});
const ingest = new Ingest(database, log, Date.now);

process.on('message', ({ no, lines }: Asked) => {
  const bytes = lines.map((line) => new Uint8Array(Buffer.from(line, 'base64')));
  ingest.take(bytes, device).then(
    (answer) => process.send?.({ no, answer }),
    (error: unknown) => process.send?.({ no, error: String(error) }),
  );
});
process.on('disconnect', () => process.exit());
// Whoever is killed writes no cache at its end, and the next one would compile everything again.
flushCompileCache();
process.send?.('ready');
