import { readFileSync, readdirSync } from 'node:fs';
import { expect, test } from 'vitest';
import { keptChecklist, readChecklistText } from '#lib/device/checklists.ts';
import { must } from '../../support/fresh-store.ts';
import { LAMP } from '../../support/lamp-job.ts';

const shipped = new URL('../../../checklists/', import.meta.url);
const files = readdirSync(shipped).filter((name) => /^[a-z0-9-]+\.yaml$/.test(name));

test.each(files)('%s is the same checklist from its kept JSON as from its file', async (name) => {
  const read = must(await readChecklistText(readFileSync(new URL(name, shipped), 'utf8')));
  expect(must(keptChecklist(read.row, 'a job')).checklist).toEqual(read.checklist);
});

test('a kept checklist that was changed by one byte is not taken', async () => {
  const { row } = must(await readChecklistText(LAMP));
  const changed = { ...row, json: row.json.replace('30 min', '90 min') };
  expect(changed.json).not.toBe(row.json);
  expect(keptChecklist(changed, 'a job')).toMatchObject({ trouble: { code: 'damaged' } });
});

test('a broken file is refused with the line and what is wrong there', async () => {
  const broken = LAMP.replace('do: prove', 'do: proove');
  const line = broken.split('\n').findIndex((each) => each.includes('proove')) + 1;
  const read = await readChecklistText(broken);
  expect(read).toMatchObject({ ok: false, trouble: { code: 'bad-checklist' } });
  expect(!read.ok && read.trouble.says).toContain(`Line ${line}:`);
});
