/**
 * Inserts many rows of one table. Building the statement anew costs as much as running it, so that of
 * each number of rows is built once.
 */
import type { CompiledQuery } from 'kysely';
import type { Kind, Rows } from './database.ts';
import type { LeafTable } from './tables.ts';

const COLUMNS = [
  'idx',
  'hash',
  'kind',
  'job_no',
  'seq',
  'side',
  'type',
  'by',
  'at',
  'received_at',
  'line',
] as const satisfies readonly (keyof LeafTable)[];

/** Statements of a few lengths are put together to any number. */
const LENGTHS = [128, 32, 8, 1] as const;

const built = new Map<string, CompiledQuery>();

export async function insertLeaves(
  rows: Rows,
  kind: Kind,
  leaves: readonly LeafTable[],
): Promise<void> {
  for (let at = 0; at < leaves.length;) {
    const length = LENGTHS.find((one) => one <= leaves.length - at) ?? 1;
    const some = leaves.slice(at, at + length);
    const parameters = some.flatMap((leaf) => COLUMNS.map((column) => leaf[column]));
    await rows.executeQuery({ ...statementOf(rows, kind, some), parameters });
    at += length;
  }
}

function statementOf(rows: Rows, kind: Kind, some: readonly LeafTable[]): CompiledQuery {
  const name = `${kind} ${some.length}`;
  const known = built.get(name);
  if (known !== undefined) return known;
  // The parameters stand in the order of the columns of the first row.
  const ordered = some.map(
    (leaf) => Object.fromEntries(COLUMNS.map((column) => [column, leaf[column]])) as never,
  );
  const made = rows.insertInto('leaves').values(ordered).compile();
  built.set(name, made);
  return made;
}
