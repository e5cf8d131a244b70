import { describe, expect, test } from 'vitest';
import { resolve, rooms, whyNot } from '../../src/setup/rooms.mjs';
import { importsOf } from './imports-of.ts';
import { filesBelow, type SourceFile } from './tree.ts';

const sources = filesBelow('src', ['.ts', '.svelte']);

function refusals(file: SourceFile): string[] {
  return importsOf(file)
    .map(({ specifier, typeOnly }) => whyNot(file.path, specifier, typeOnly))
    .filter((why) => why !== null);
}

describe('the import table', () => {
  test('holds for every file', () => {
    expect(sources.length).toBeGreaterThan(10);
    expect(sources.flatMap(refusals)).toEqual([]);
  });

  test('the rooms that never meet the engine do not reach it by a detour either', () => {
    const barred = rooms.flatMap((room) => (room.never ?? []).map((never) => ({ room, never })));
    expect(barred.length).toBeGreaterThan(0);
    for (const { room, never } of barred)
      for (const { path } of sources.filter((file) => file.path.startsWith(`${room.path}/`)))
        expect(wayTo(path, `${never}.ts`), `${path} must not run ${never}`).toBeNull();
  });

  test.each([
    ['core/measure/ohm.ts', `import { a } from '../job/decide.ts'`, 'core/measure may not import'],
    ['core/checklist/x.ts', `export * from '../measure/ohm.ts'`, 'core/checklist may not import'],
    ['core/safety/x.ts', `import { a } from '../job/events.ts'`, 'only the types of core/job'],
    ['core/safety/x.ts', `import type { A } from '../job/decide.ts'`, 'core/safety may not import'],
    ['core/bag/x.ts', `import { a } from '../job/decide.ts'`, 'core/bag may not import'],
    ['core/job/x.ts', `import { a } from '../safety/properties.ts'`, 'core/job may not import'],
    ['core/job/x.ts', `import { readFileSync } from 'node:fs'`, 'may not import node:fs'],
    ['core/job/x.ts', `const a = await import('svelte')`, 'may not import svelte'],
    ['core/job/x.ts', `import { a } from '#lib/core/assert.ts'`, 'by relative path'],
    ['core/job/x.ts', `import { a } from './state'`, 'with their .ts ending'],
    [
      'core/job/x.ts',
      `import { a } from '../../device/clock.ts'`,
      'core/job may not import device',
    ],
    ['device/x.ts', `import { a } from '#lib/server/ingest.ts'`, 'device may not import server'],
    ['server/x.ts', `import { a } from '../ui/look/theme.ts'`, 'server may not import ui'],
    [
      'ui/X.svelte',
      `<script>import { a } from '#lib/core/job/decide.ts'</script>`,
      'only the types',
    ],
    ['ui/x.ts', `import type { A } from '#lib/device/store.ts'`, 'ui may not import device'],
  ])('bites: %s with %s', (path, text, message) => {
    expect(refusals({ path: `src/lib/${path}`, text }).join()).toContain(message);
  });

  test.each([
    ['core/safety/x.ts', `import type { A } from '../job/events.ts'`],
    ['core/safety/x.ts', `import { type A, type B } from '../job/events.ts'`],
    ['core/job/x.ts', `import { a } from '../assert.ts'; import { z } from 'zod'`],
    ['core/bag/x.ts', `import { a } from '../job/events.ts'`],
    ['device/x.ts', `import { a } from '#lib/core/job/decide.ts'`],
    ['ui/X.svelte', `<script>import type { A } from '#lib/core/job/state.ts'</script>`],
  ])('lets through: %s with %s', (path, text) => {
    expect(refusals({ path: `src/lib/${path}`, text })).toEqual([]);
  });
});

/** The files on the way from one file to another by imports that run; null when there is no way. */
function wayTo(from: string, goal: string, seen = new Set<string>()): string[] | null {
  if (from === goal) return [from];
  if (seen.has(from)) return null;
  seen.add(from);
  const file = sources.find((one) => one.path === from);
  for (const { specifier, typeOnly } of file === undefined ? [] : importsOf(file)) {
    const target = typeOnly ? null : resolve(from, specifier);
    const rest = target === null ? null : wayTo(target, goal, seen);
    if (rest !== null) return [from, ...rest];
  }
  return null;
}
