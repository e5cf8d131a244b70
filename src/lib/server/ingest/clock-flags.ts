/** What the clocks of a batch look like from here. The order of the log never depends on them. */
import { base64, readCheckpoint } from '#lib/core/record/index.ts';
import type { Seen, SealedEntry } from '#lib/core/record/index.ts';
import type { Rows } from '../database/database.ts';
import type { NewFlag } from '../flags.ts';
import { msOf } from './job-summary.ts';

/** Clocks of phones are set by their network; beyond this somebody should look. Our own value. */
const AHEAD_MS = 24 * 3600 * 1000;
const BEHIND_MS = 10 * 60 * 1000;

interface Timed {
  readonly sealed: SealedEntry;
  readonly index: number;
  readonly row: { readonly no: number };
}

export async function clockFlags(
  rows: Rows,
  added: readonly Timed[],
  origin: string,
  now: number,
): Promise<NewFlag[]> {
  const flags: NewFlag[] = [];
  const about = ({ index, row }: Timed) => ({ job_no: row.no, idx: index });
  const ahead = added.find(({ sealed }) => msOf(sealed.entry.at) > now + AHEAD_MS);
  if (ahead !== undefined)
    flags.push({
      code: 'clock-ahead',
      ...about(ahead),
      says: `An entry says ${ahead.sealed.entry.at}, which is more than a day ahead of this server.`,
    });
  const seen = new Map<string, { readonly first: Timed; readonly seen: Seen }>();
  for (const one of added) {
    const told = one.sealed.entry.seen;
    const name = `${told?.size} ${told?.root}`;
    if (told?.origin === origin && !seen.has(name)) seen.set(name, { first: one, seen: told });
  }
  for (const { first, seen: told } of seen.values())
    flags.push(...(await seenFlags(rows, told, first, about(first))));
  return flags;
}

async function seenFlags(
  rows: Rows,
  told: Seen,
  { sealed }: Timed,
  about: { readonly job_no: number; readonly idx: number },
): Promise<NewFlag[]> {
  const ours = await rows
    .selectFrom('checkpoints')
    .select(['note', 'signed_at'])
    .where('size', '=', told.size)
    .executeTakeFirst();
  if (ours === undefined || rootIn(ours.note) !== told.root)
    return [
      {
        code: 'unknown-checkpoint',
        ...about,
        says: `A device names a checkpoint of ${told.size} entries that this log never signed in that form. Either the device makes it up, or this server has shown two different logs: compare the checkpoints.`,
      },
    ];
  if (msOf(sealed.entry.at) >= ours.signed_at - BEHIND_MS) return [];
  return [
    {
      code: 'clock-behind',
      ...about,
      says: `An entry says ${sealed.entry.at}, but it names a checkpoint that was signed only at ${new Date(ours.signed_at).toISOString()}: the clock of the device was behind, or the time was put back.`,
    },
  ];
}

/** The root, in Base 64, of a note that this log has signed. */
function rootIn(note: string): string | null {
  const read = readCheckpoint(note.slice(0, note.indexOf('\n\n') + 1));
  return read.ok ? base64(read.value.root) : null;
}
