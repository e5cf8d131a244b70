import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import * as model from '#lib/core/checklist/model.ts';
import { checklistJsonSchema, checklistSchema, stepSchemas } from '#lib/core/checklist/schema.ts';
import { schemaText } from '../../../../src/setup/checklist-schema.mjs';
import { checklistNames, checklistText } from '../../../support/checklist-texts.ts';

describe('the schema of a checklist', () => {
  test('knows every kind of step of the model, and no other', () => {
    expect(Object.keys(stepSchemas).sort()).toEqual([...model.STEP_KINDS].sort());
    for (const [kind, schema] of Object.entries(stepSchemas)) {
      expect(schema.shape.do.value).toBe(kind);
    }
  });

  test('every object refuses keys that it does not know', () => {
    const objects: unknown[] = [];
    const walk = (value: unknown): void => {
      if (typeof value !== 'object' || value === null) return;
      if ('properties' in value) objects.push(value);
      Object.values(value).forEach(walk);
    };
    walk(checklistJsonSchema());
    expect(objects.length).toBeGreaterThan(30);
    for (const object of objects) expect(object).toMatchObject({ additionalProperties: false });
  });

  test('the file for editors is up to date', async () => {
    const written = readFileSync(
      new URL('../../../../checklists/checklist.schema.json', import.meta.url),
      'utf8',
    );
    // When this fails: node_modules/.bin/node src/setup/checklist-schema.mjs
    expect(written).toBe(await schemaText());
  });

  test.each([
    ...checklistNames('shipped').map((name) => ['shipped', name] as const),
    ...checklistNames('test').map((name) => ['test', name] as const),
  ])('%s %s tells editors where its schema is', (folder, name) => {
    const [first] = checklistText(name, folder).split('\n');
    expect(first).toMatch(
      /^# yaml-language-server: \$schema=(\.\.\/\.\.\/\.\.\/checklists\/)?checklist\.schema\.json$/,
    );
  });

  test('says what the words mean', () => {
    expect(checklistSchema.shape.licensed.description).toMatch(/stop/);
    expect(JSON.stringify(checklistJsonSchema())).toContain('A number and a unit');
  });
});
