import { backUp } from '#lib/server/backup/backup.ts';
import { readArguments } from '../arguments.ts';
import {
  keyInFolder,
  lookAtStore,
  storeDetails,
  storeFlags,
  storeSettings,
} from '../store-place.ts';
import { doesNotHold, holds, Unusable, type Verb } from '../verb.ts';
import { tell } from './fsck.ts';

/** Works while the server runs. */
export default {
  summary: "copies a server's records into one file, and verifies the copy",
  usage: 'backup FILE [--data DIR] [--database URL] [--json]',
  example: 'stillwire backup records-2026-11-25.sqlite',
  details: [
    ...storeDetails,
    'The key of the log (log-key in the data folder) is not in it: keep a copy elsewhere.',
  ],
  async run(args, io) {
    const { values, positionals, json } = readArguments(args, storeFlags);
    const [file, more] = positionals;
    if (file === undefined || more !== undefined)
      throw new Unusable('"backup" takes one name: that of the file to write.');
    const settings = storeSettings(values);
    const database = await lookAtStore(settings);
    try {
      const report = await backUp(database, file, keyInFolder(settings)?.publicKey ?? null);
      if (json) io.printJson({ ...report, file: report.ok ? file : null });
      else if (report.ok)
        io.print(`${file}: ${report.entries} entries in ${report.jobs} jobs, verified.`);
      else {
        tell(report, io);
        io.complain('No backup was written: what would be in it is not as it was stored.');
      }
      return report.ok ? holds : doesNotHold;
    } catch (error) {
      throw new Unusable(error instanceof Error ? error.message : String(error));
    } finally {
      await database.close();
    }
  },
} satisfies Verb;
