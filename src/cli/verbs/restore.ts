import { mkdirSync } from 'node:fs';
import { goOn, restore } from '#lib/server/backup/restore.ts';
import type { Restored } from '#lib/server/backup/restore.ts';
import { Database } from '#lib/server/database/database.ts';
import type { Settings } from '#lib/server/settings.ts';
import { readArguments } from '../arguments.ts';
import { keyInFolder, lookAtStore, outsideOf, storeDetails, storeFlags } from '../store-place.ts';
import { storeSettings } from '../store-place.ts';
import { holds, Unusable, type Verb } from '../verb.ts';

/** Never goes on with a log that has signed more than the backup holds. */
export default {
  summary: 'fills an empty database from a backup, or goes on with one that was put back',
  usage: 'restore [BACKUP] [--data DIR] [--database URL] [--json]',
  example: 'stillwire restore records-2026-11-25.sqlite --data data',
  details: [
    ...storeDetails,
    'Stop the server first. The key of the log (log-key) must be in the data folder.',
    'Without BACKUP: the database was put back by other means, and only its log is looked to.',
  ],
  async run(args, io) {
    const { values, positionals, json } = readArguments(args, storeFlags);
    const [file, more] = positionals;
    if (more !== undefined) throw new Unusable('"restore" takes one backup.');
    const restored = await restoreInto(storeSettings(values), file);
    if (json) io.printJson({ ok: true, ...restored });
    else {
      io.print(`${restored.size} leaves are in the log ${restored.origin}.`);
      io.print(
        restored.newLog
          ? 'It is a new log, which begins with the last checkpoint of the old one. Devices send again what is missing when they next reach the server.'
          : 'Nothing was signed after the backup, so the log goes on as it was.',
      );
    }
    return holds;
  },
} satisfies Verb;

async function restoreInto(settings: Settings, file: string | undefined): Promise<Restored> {
  mkdirSync(settings.data, { recursive: true, mode: 0o700 });
  const key = keyInFolder(settings);
  if (key === null)
    throw new Unusable(
      `${settings.logKeyFile} is not there. Put the key of the log back first; without it nobody can go on with this log.`,
    );
  const outside = outsideOf(settings);
  const from =
    file === undefined ? null : await lookAtStore({ ...settings, place: { kind: 'sqlite', file } });
  try {
    const database = await Database.open(settings.place);
    const into = { database, key, outside, now: Date.now };
    try {
      return from === null ? await goOn(into) : await restore(from, into);
    } finally {
      await database.close();
    }
  } catch (error) {
    throw new Unusable(error instanceof Error ? error.message : String(error));
  } finally {
    await from?.close();
  }
}
