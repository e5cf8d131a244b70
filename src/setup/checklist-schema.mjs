// Writes checklists/checklist.schema.json from the schema in the code, for editors that know YAML:
//   node_modules/.bin/node src/setup/checklist-schema.mjs
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { format, resolveConfig } from 'prettier';
import { checklistJsonSchema } from '../lib/core/checklist/schema.ts';

/** The file as it should stand. */
export async function schemaText() {
  const path = fileURLToPath(new URL('../../checklists/checklist.schema.json', import.meta.url));
  const options = await resolveConfig(path);
  return format(JSON.stringify(checklistJsonSchema()), { ...options, parser: 'json' });
}

if (import.meta.main) {
  const path = new URL('../../checklists/checklist.schema.json', import.meta.url);
  writeFileSync(path, await schemaText());
}
