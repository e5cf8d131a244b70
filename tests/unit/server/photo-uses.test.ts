/** Every device asks for the photos of its jobs at every round: that must not grow with all the photos there are. */
import { mkdtempSync, rmSync } from 'node:fs';
import { DatabaseSync } from 'node:sqlite';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { Database } from '#lib/server/database/database.ts';

const folder = mkdtempSync(join(tmpdir(), 'stillwire-uses-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('the photos of a job are found along an index, without reading the others', async () => {
  const file = join(folder, 'records.sqlite');
  await (await Database.open({ kind: 'sqlite', file })).close();
  const store = new DatabaseSync(file, { readOnly: true });
  const plan = store
    .prepare('explain query plan select job_no, sha256 from photo_uses where job_no in (7, 8)')
    .all()
    .map(({ detail }) => String(detail));
  store.close();
  expect(plan).toEqual(['SEARCH photo_uses USING COVERING INDEX photo_uses_job (job_no=?)']);
});
