/** What a question of the office is held against: entries of an index alone, counted inside the database. */
import { DatabaseSync } from 'node:sqlite';

/** Rows that an answer is made from: of groups, which are a name and a count, those that were counted. */
export function rowsIn(answer: unknown): number {
  if (!Array.isArray(answer)) return Object.keys(answer ?? {}).length;
  return (answer as readonly { readonly count?: number }[]).reduce((sum, row) => {
    const isGroup = row.count !== undefined && Object.keys(row).length === 2;
    return sum + (isGroup ? Number(row.count) : 1);
  }, 0);
}

/** The newest entries of the commonest type, by the index of types and times, never touching a row. */
const READ =
  "select count(*) as n from (select at from leaves where type = 'step.done' order by at desc limit ?)";

export interface CoveringRead {
  read(): void;
  close(): void;
}

/**
 * @param rows how many entries; one at least
 * @throws Error when the database would read the table too, or finds fewer
 */
export function coveringRead(file: string, rows: number): CoveringRead {
  const store = new DatabaseSync(file, { readOnly: true });
  store.exec('pragma cache_size = -65536');
  const wanted = Math.max(1, rows);
  const plan = JSON.stringify(store.prepare(`explain query plan ${READ}`).all(wanted));
  if (!plan.includes('COVERING INDEX leaves_type')) throw new Error(`No covering index: ${plan}`);
  const statement = store.prepare(READ);
  return {
    read: () => {
      if (statement.get(wanted)?.['n'] !== wanted) throw new Error('There are fewer entries.');
    },
    close: () => store.close(),
  };
}
