/**
 * The same lines in a general append-only signed log (`hypercore`), and its audit: every block hashed again, every
 * node of its tree joined again, every bit of its index looked up. It signs the head alone, so that no audit checks
 * a signature for each line.
 */
import Hypercore from 'hypercore';
import { join } from 'node:path';

export interface AuditedLog {
  /** @throws Error when it finds anything wrong, or not every line */
  audit(): Promise<void>;
  close(): Promise<void>;
}

export async function auditedLog(
  folder: string,
  lines: readonly Uint8Array[],
): Promise<AuditedLog> {
  const log = new Hypercore(join(folder, 'log'));
  await log.ready();
  await log.append(lines);
  return {
    audit: async () => {
      const found = await log.core.audit({ dryRun: true });
      const wrong =
        found === null || found.corrupt || found.droppedBlocks + found.droppedTreeNodes > 0;
      if (wrong || found.blocks !== lines.length || found.bits !== lines.length)
        throw new Error(`The audit of the log finds ${JSON.stringify(found)}.`);
    },
    close: () => log.close(),
  };
}
