import type { SchemaModule } from 'kysely';

/** What the office's pages are looked up by, so that they stay quick over many jobs. */
export async function officePages(schema: SchemaModule): Promise<void> {
  await schema.createIndex('jobs_crew').on('jobs').columns(['demo', 'opened_at', 'no']).execute();
  await schema
    .createIndex('jobs_crew_state')
    .on('jobs')
    .columns(['demo', 'status', 'last_at'])
    .execute();
  await schema
    .createIndex('jobs_crew_list')
    .on('jobs')
    .columns(['demo', 'checklist', 'checklist_sha256', 'revision'])
    .execute();
  await schema.createIndex('looks_job').on('looks').columns(['job', 'no']).execute();
  await schema
    .createIndex('office_words_kind')
    .on('office_words')
    .columns(['kind', 'job'])
    .execute();
}
