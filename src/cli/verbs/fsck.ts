import { readFileSync } from 'node:fs';
import { fsck } from '#lib/server/fsck/fsck.ts';
import type { FsckReport } from '#lib/server/fsck/report.ts';
import { readArguments } from '../arguments.ts';
import { keyInFolder, lookAtStore, outsideOf, photoPlaceOf, storeDetails } from '../store-place.ts';
import { storeFlags, storeSettings } from '../store-place.ts';
import { doesNotHold, holds, Unusable, type Io, type Verb } from '../verb.ts';

/** Nothing that the database says of itself is believed. */
export default {
  summary: "re-verifies a server's whole store, from its bytes",
  usage: 'fsck [--data DIR] [--database URL] [--held FILE]… [--json]',
  example: 'stillwire fsck --data data',
  details: [
    ...storeDetails,
    '--held FILE      a checkpoint or a receipt that somebody kept; may be given more than once',
  ],
  async run(args, io) {
    const options = { ...storeFlags, held: { type: 'string', multiple: true } } as const;
    const { values, positionals, json } = readArguments(args, options);
    if (positionals.length > 0) throw new Unusable(`"fsck" takes no "${positionals[0]}".`);
    const settings = storeSettings(values);
    const held = (values.held ?? []).map((name) => ({ name, bytes: readHeld(name) }));
    const outside = await outsideOf(settings).read();
    const database = await lookAtStore(settings);
    try {
      const report = await fsck({
        rows: database.rows,
        publicKey: keyInFolder(settings)?.publicKey ?? null,
        outside,
        held,
        photos: photoPlaceOf(settings),
        progress: (done, size) => io.progress(`${done} of ${size} leaves`),
      });
      if (json) io.printJson(report);
      else tell(report, io);
      return report.ok ? holds : doesNotHold;
    } finally {
      await database.close();
    }
  },
} satisfies Verb;

function readHeld(name: string): Uint8Array {
  try {
    return readFileSync(name);
  } catch {
    throw new Unusable(`${name} cannot be read.`);
  }
}

export function tell({ ok, entries, acts, jobs, checks }: FsckReport, io: Io): void {
  const words = { held: 'holds ', failed: 'FAILED', notRun: 'not run' } as const;
  for (const { id, status, says, findings } of checks) {
    io.print(`${words[status].padEnd(8)}${id.padEnd(13)}${says}`);
    for (const finding of findings) io.print(`${''.padEnd(21)}${finding}`);
  }
  io.print(`${entries} entries in ${jobs} jobs, ${acts} acts of the office.`);
  io.print(ok ? 'Everything that was looked at holds.' : 'This store is not as it was written.');
}
