import type { SchemaModule } from 'kysely';

/** Every device asks which photos of its jobs are missing; by the photo alone, that was a read of all uses there are. */
export async function photosOfAJob(schema: SchemaModule): Promise<void> {
  await schema
    .createIndex('photo_uses_job')
    .on('photo_uses')
    .columns(['job_no', 'sha256'])
    .execute();
}
