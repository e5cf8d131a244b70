import type { ColumnDataType, SchemaModule } from 'kysely';
import type { Kind } from '../database.ts';

/** What the two databases call the same thing. */
export interface ColumnTypes {
  readonly bytes: ColumnDataType;
  /** Whole numbers to 2^53. */
  readonly whole: ColumnDataType;
}

export type Step = (schema: SchemaModule, types: ColumnTypes) => Promise<void>;

export const columnTypes: Readonly<Record<Kind, ColumnTypes>> = {
  sqlite: { bytes: 'blob', whole: 'integer' },
  postgres: { bytes: 'bytea', whole: 'bigint' },
};
