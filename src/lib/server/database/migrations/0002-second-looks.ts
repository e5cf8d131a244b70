import type { SchemaModule } from 'kysely';
import type { ColumnTypes } from './column-types.ts';

/** What the office looks at twice, says, inspects and keeps by its due date. */
export async function secondLooks(schema: SchemaModule, types: ColumnTypes): Promise<void> {
  await theLooks(schema, types);
  await theProgramme(schema, types);
}

async function theLooks(schema: SchemaModule, { whole }: ColumnTypes): Promise<void> {
  await schema
    .createTable('looks')
    .addColumn('no', whole, (it) => it.primaryKey())
    .addColumn('mark', 'text', (it) => it.notNull().unique())
    .addColumn('demo', 'integer', (it) => it.notNull())
    .addColumn('rule', 'text', (it) => it.notNull())
    .addColumn('weight', 'text', (it) => it.notNull())
    .addColumn('person', 'text', (it) => it.notNull())
    .addColumn('job', 'text', (it) => it.notNull())
    .addColumn('finding', 'text', (it) => it.notNull())
    .addColumn('found_at', whole, (it) => it.notNull())
    .addColumn('asked_at', whole)
    .addColumn('answered_at', whole)
    .addColumn('closed_at', whole)
    .addColumn('closed_as', 'text')
    .execute();
  await schema.createIndex('looks_open').on('looks').columns(['closed_at', 'no']).execute();
  await schema.createIndex('looks_person').on('looks').columns(['person', 'asked_at']).execute();
  await schema
    .createTable('office_words')
    .addColumn('no', whole, (it) => it.primaryKey())
    .addColumn('kind', 'text', (it) => it.notNull())
    .addColumn('look_no', whole, (it) => it.references('looks.no'))
    .addColumn('job', 'text')
    .addColumn('seq', 'integer')
    .addColumn('by', 'text', (it) => it.notNull())
    .addColumn('at', whole, (it) => it.notNull())
    .addColumn('digest', 'text', (it) => it.notNull())
    .addColumn('encoded', 'text')
    .execute();
  await schema.createIndex('office_words_look').on('office_words').columns(['look_no']).execute();
  await schema.createIndex('office_words_job').on('office_words').columns(['job']).execute();
  await schema
    .createTable('photo_looks')
    .addColumn('sha256', 'text', (it) => it.primaryKey())
    .addColumn('look', 'text')
    .execute();
  await schema
    .createTable('screenings')
    .addColumn('demo', 'integer', (it) => it.primaryKey())
    .addColumn('at', whole, (it) => it.notNull())
    .addColumn('jobs', 'integer', (it) => it.notNull())
    .addColumn('unread', 'integer', (it) => it.notNull())
    .addColumn('photos', 'integer', (it) => it.notNull())
    .addColumn('thresholds', 'text', (it) => it.notNull())
    .addColumn('figures', 'text', (it) => it.notNull())
    .execute();
}

async function theProgramme(schema: SchemaModule, { whole }: ColumnTypes): Promise<void> {
  await schema
    .createTable('inspections')
    .addColumn('no', whole, (it) => it.primaryKey())
    .addColumn('checklist', 'text', (it) => it.notNull())
    .addColumn('sha256', 'text', (it) => it.notNull())
    .addColumn('day', 'text', (it) => it.notNull())
    .addColumn('inspector', 'text', (it) => it.notNull())
    .addColumn('people', 'text', (it) => it.notNull())
    .addColumn('digest', 'text', (it) => it.notNull())
    .addColumn('encoded', 'text', (it) => it.notNull())
    .addColumn('by', 'text', (it) => it.notNull())
    .addColumn('at', whole, (it) => it.notNull())
    .execute();
  await schema
    .createIndex('inspections_list')
    .on('inspections')
    .columns(['checklist', 'day'])
    .execute();
  await schema
    .createTable('keepings')
    .addColumn('no', whole, (it) => it.primaryKey())
    .addColumn('kind', 'text', (it) => it.notNull())
    .addColumn('label', 'text', (it) => it.notNull())
    .addColumn('person', 'text')
    .addColumn('done_day', 'text', (it) => it.notNull())
    .addColumn('due_day', 'text')
    .addColumn('by', 'text', (it) => it.notNull())
    .addColumn('at', whole, (it) => it.notNull())
    .addColumn('ended_at', whole)
    .execute();
  await schema
    .createIndex('keepings_due')
    .on('keepings')
    .columns(['ended_at', 'due_day'])
    .execute();
  await schema
    .createTable('samples')
    .addColumn('no', whole, (it) => it.primaryKey())
    .addColumn('seed', 'text', (it) => it.notNull())
    .addColumn('from_at', whole, (it) => it.notNull())
    .addColumn('until_at', whole, (it) => it.notNull())
    .addColumn('among', 'integer', (it) => it.notNull())
    .addColumn('jobs', 'text', (it) => it.notNull())
    .addColumn('demo', 'integer', (it) => it.notNull())
    .addColumn('by', 'text', (it) => it.notNull())
    .addColumn('at', whole, (it) => it.notNull())
    .execute();
  await schema
    .createTable('house_limits')
    .addColumn('no', whole, (it) => it.primaryKey())
    .addColumn('checklist', 'text', (it) => it.notNull())
    .addColumn('step', 'text', (it) => it.notNull())
    .addColumn('least', 'text')
    .addColumn('most', 'text')
    .addColumn('by', 'text', (it) => it.notNull())
    .addColumn('at', whole, (it) => it.notNull())
    .execute();
}
