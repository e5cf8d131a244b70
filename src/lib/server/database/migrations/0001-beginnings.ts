import type { SchemaModule } from 'kysely';
import type { ColumnTypes } from './column-types.ts';

/** The tables of the first release. */
export async function beginnings(schema: SchemaModule, types: ColumnTypes): Promise<void> {
  await theLog(schema, types);
  await theJobs(schema, types);
  await theDevices(schema, types);
  await theOffice(schema, types);
  await theFiles(schema, types);
}

async function theLog(schema: SchemaModule, { bytes, whole }: ColumnTypes): Promise<void> {
  await schema
    .createTable('logs')
    .addColumn('no', 'integer', (it) => it.primaryKey())
    .addColumn('origin', 'text', (it) => it.notNull().unique())
    .addColumn('public_key', bytes, (it) => it.notNull())
    .addColumn('begun_at', whole, (it) => it.notNull())
    .execute();
  await schema
    .createTable('tree')
    .addColumn('id', 'integer', (it) => it.primaryKey())
    .addColumn('log_no', 'integer', (it) => it.notNull().references('logs.no'))
    .addColumn('size', whole, (it) => it.notNull())
    .execute();
  await schema
    .createTable('leaves')
    .addColumn('idx', whole, (it) => it.primaryKey())
    .addColumn('hash', bytes, (it) => it.notNull())
    .addColumn('kind', 'text', (it) => it.notNull())
    .addColumn('job_no', whole)
    .addColumn('seq', 'integer')
    .addColumn('side', 'integer')
    .addColumn('type', 'text', (it) => it.notNull())
    .addColumn('by', 'text', (it) => it.notNull())
    .addColumn('at', whole, (it) => it.notNull())
    .addColumn('received_at', whole, (it) => it.notNull())
    .addColumn('line', bytes, (it) => it.notNull())
    .execute();
  // With the hash in it, the database itself refuses to hold an entry twice.
  await schema
    .createIndex('leaves_job')
    .unique()
    .on('leaves')
    .columns(['job_no', 'seq', 'hash'])
    .execute();
  await schema.createIndex('leaves_by').on('leaves').columns(['by', 'at']).execute();
  await schema.createIndex('leaves_type').on('leaves').columns(['type', 'at']).execute();
  await schema
    .createTable('tiles')
    .addColumn('level', 'integer', (it) => it.notNull())
    .addColumn('idx', whole, (it) => it.notNull())
    .addColumn('hashes', bytes, (it) => it.notNull())
    .addPrimaryKeyConstraint('tiles_place', ['level', 'idx'])
    .execute();
  await schema
    .createTable('checkpoints')
    .addColumn('size', whole, (it) => it.primaryKey())
    .addColumn('note', 'text', (it) => it.notNull())
    .addColumn('signed_at', whole, (it) => it.notNull())
    .execute();
}

async function theJobs(schema: SchemaModule, { bytes, whole }: ColumnTypes): Promise<void> {
  await schema
    .createTable('jobs')
    .addColumn('no', whole, (it) => it.primaryKey())
    .addColumn('job', 'text', (it) => it.notNull().unique())
    .addColumn('device', 'text', (it) => it.notNull())
    .addColumn('count', 'integer', (it) => it.notNull())
    .addColumn('head', bytes, (it) => it.notNull())
    .addColumn('checklist', 'text', (it) => it.notNull())
    .addColumn('revision', 'integer', (it) => it.notNull())
    .addColumn('checklist_sha256', 'text', (it) => it.notNull())
    .addColumn('demo', 'integer', (it) => it.notNull())
    .addColumn('status', 'text', (it) => it.notNull())
    .addColumn('opened_at', whole, (it) => it.notNull())
    .addColumn('opened_by', 'text', (it) => it.notNull())
    .addColumn('last_at', whole, (it) => it.notNull())
    .addColumn('last_by', 'text', (it) => it.notNull())
    .addColumn('received_at', whole, (it) => it.notNull())
    .addColumn('due_at', whole)
    .addColumn('refusals', 'integer', (it) => it.notNull())
    .addColumn('forked', 'integer', (it) => it.notNull())
    .addColumn('judged', 'integer', (it) => it.notNull())
    .execute();
  await schema.createIndex('jobs_status').on('jobs').columns(['status', 'last_at']).execute();
  await schema.createIndex('jobs_opened').on('jobs').columns(['opened_at']).execute();
  await schema.createIndex('jobs_person').on('jobs').columns(['opened_by', 'opened_at']).execute();
  await schema.createIndex('jobs_list').on('jobs').columns(['checklist', 'opened_at']).execute();
  await schema
    .createTable('flags')
    .addColumn('no', whole, (it) => it.primaryKey())
    .addColumn('code', 'text', (it) => it.notNull())
    .addColumn('job_no', whole, (it) => it.references('jobs.no'))
    .addColumn('idx', whole)
    .addColumn('says', 'text', (it) => it.notNull())
    .addColumn('raised_at', whole, (it) => it.notNull())
    .addColumn('settled_at', whole)
    .addColumn('settled_by', 'text')
    .addColumn('settled_why', 'text')
    .execute();
  await schema.createIndex('flags_open').on('flags').columns(['settled_at', 'no']).execute();
  await schema.createIndex('flags_job').on('flags').columns(['job_no']).execute();
  await schema
    .createTable('checklists')
    .addColumn('sha256', 'text', (it) => it.primaryKey())
    .addColumn('id', 'text', (it) => it.notNull())
    .addColumn('revision', 'integer', (it) => it.notNull())
    .addColumn('title', 'text', (it) => it.notNull())
    .addColumn('text', 'text', (it) => it.notNull())
    .execute();
  await schema
    .createTable('disclosures')
    .addColumn('job_no', whole, (it) => it.notNull().references('jobs.no'))
    .addColumn('digest', 'text', (it) => it.notNull())
    .addColumn('seq', 'integer', (it) => it.notNull())
    .addColumn('encoded', 'text', (it) => it.notNull())
    .addPrimaryKeyConstraint('disclosures_place', ['job_no', 'digest'])
    .execute();
}

async function theDevices(schema: SchemaModule, { bytes, whole }: ColumnTypes): Promise<void> {
  await schema
    .createTable('people')
    .addColumn('id', 'text', (it) => it.primaryKey())
    .addColumn('name', 'text', (it) => it.notNull())
    .addColumn('made_at', whole, (it) => it.notNull())
    .execute();
  await schema
    .createTable('devices')
    .addColumn('id', 'text', (it) => it.primaryKey())
    .addColumn('label', 'text', (it) => it.notNull())
    .addColumn('token_hash', bytes, (it) => it.notNull().unique())
    .addColumn('enrolled_at', whole, (it) => it.notNull())
    .addColumn('enrolled_by', 'text', (it) => it.notNull())
    .addColumn('revoked_at', whole)
    .addColumn('seen_at', whole, (it) => it.notNull())
    .execute();
  await schema
    .createTable('keys')
    .addColumn('thumbprint', 'text', (it) => it.primaryKey())
    .addColumn('public_key', bytes, (it) => it.notNull())
    .addColumn('person', 'text', (it) => it.notNull().references('people.id'))
    .addColumn('device', 'text', (it) => it.notNull().references('devices.id'))
    .addColumn('since_idx', whole, (it) => it.notNull())
    .addColumn('until_idx', whole)
    .addColumn('enrolled_by', 'text', (it) => it.notNull())
    .execute();
  await schema
    .createTable('enrolments')
    .addColumn('code_hash', bytes, (it) => it.primaryKey())
    .addColumn('label', 'text', (it) => it.notNull())
    .addColumn('people', 'text', (it) => it.notNull())
    .addColumn('newcomers', 'integer', (it) => it.notNull())
    .addColumn('made_by', 'text', (it) => it.notNull())
    .addColumn('made_at', whole, (it) => it.notNull())
    .addColumn('ends_at', whole, (it) => it.notNull())
    .addColumn('used_at', whole)
    .execute();
}

async function theOffice(schema: SchemaModule, { bytes, whole }: ColumnTypes): Promise<void> {
  await schema
    .createTable('accounts')
    .addColumn('id', 'text', (it) => it.primaryKey())
    .addColumn('login', 'text', (it) => it.notNull().unique())
    .addColumn('name', 'text', (it) => it.notNull())
    .addColumn('role', 'text', (it) => it.notNull())
    .addColumn('password', 'text')
    .addColumn('made_at', whole, (it) => it.notNull())
    .addColumn('disabled_at', whole)
    .execute();
  await schema
    .createTable('passkeys')
    .addColumn('id', 'text', (it) => it.primaryKey())
    .addColumn('account', 'text', (it) => it.notNull().references('accounts.id'))
    .addColumn('public_key', bytes, (it) => it.notNull())
    .addColumn('counter', whole, (it) => it.notNull())
    .addColumn('label', 'text', (it) => it.notNull())
    .addColumn('made_at', whole, (it) => it.notNull())
    .addColumn('used_at', whole)
    .execute();
  await schema
    .createTable('sessions')
    .addColumn('token_hash', bytes, (it) => it.primaryKey())
    .addColumn('account', 'text', (it) => it.notNull().references('accounts.id'))
    .addColumn('made_at', whole, (it) => it.notNull())
    .addColumn('used_at', whole, (it) => it.notNull())
    .execute();
  await schema
    .createTable('challenges')
    .addColumn('challenge', 'text', (it) => it.primaryKey())
    .addColumn('purpose', 'text', (it) => it.notNull())
    .addColumn('account', 'text')
    .addColumn('ends_at', whole, (it) => it.notNull())
    .execute();
  await schema
    .createTable('tries')
    .addColumn('bucket', 'text', (it) => it.primaryKey())
    .addColumn('begun_at', whole, (it) => it.notNull())
    .addColumn('count', 'integer', (it) => it.notNull())
    .execute();
  await schema
    .createTable('clocks')
    .addColumn('id', 'text', (it) => it.primaryKey())
    .addColumn('person', 'text', (it) => it.notNull())
    .addColumn('job', 'text')
    .addColumn('place', 'text', (it) => it.notNull())
    .addColumn('set_at', whole, (it) => it.notNull())
    .addColumn('due_at', whole, (it) => it.notNull())
    .addColumn('told', 'integer', (it) => it.notNull())
    .addColumn('ended_at', whole)
    .addColumn('ended_by', 'text')
    .addColumn('taken_at', whole)
    .addColumn('taken_by', 'text')
    .execute();
  await schema.createIndex('clocks_due').on('clocks').columns(['ended_at', 'due_at']).execute();
  await schema
    .createTable('shares')
    .addColumn('token_hash', bytes, (it) => it.primaryKey())
    .addColumn('id', 'text', (it) => it.notNull().unique())
    .addColumn('job_no', whole, (it) => it.notNull().references('jobs.no'))
    .addColumn('withheld', 'text', (it) => it.notNull())
    .addColumn('reader', 'text', (it) => it.notNull())
    .addColumn('made_by', 'text', (it) => it.notNull())
    .addColumn('made_at', whole, (it) => it.notNull())
    .addColumn('ends_at', whole, (it) => it.notNull())
    .addColumn('ended_by', 'text')
    .execute();
}

async function theFiles(schema: SchemaModule, { bytes, whole }: ColumnTypes): Promise<void> {
  await schema
    .createTable('photos')
    .addColumn('sha256', 'text', (it) => it.primaryKey())
    .addColumn('size', 'integer', (it) => it.notNull())
    .addColumn('received', 'integer', (it) => it.notNull())
    .addColumn('complete', 'integer', (it) => it.notNull())
    .addColumn('touched_at', whole, (it) => it.notNull())
    .execute();
  await schema
    .createTable('photo_parts')
    .addColumn('sha256', 'text', (it) => it.notNull().references('photos.sha256'))
    .addColumn('start', 'integer', (it) => it.notNull())
    .addColumn('bytes', bytes, (it) => it.notNull())
    .addPrimaryKeyConstraint('photo_parts_place', ['sha256', 'start'])
    .execute();
  await schema
    .createTable('photo_uses')
    .addColumn('sha256', 'text', (it) => it.notNull())
    .addColumn('job_no', whole, (it) => it.notNull().references('jobs.no'))
    .addPrimaryKeyConstraint('photo_uses_place', ['sha256', 'job_no'])
    .execute();
}
