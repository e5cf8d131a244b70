import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { lampBag } from '../../../support/a-bag.ts';
import screen from '../../../../src/cli/verbs/screen.ts';
import type { Io } from '../../../../src/cli/verb.ts';

let folder = '';
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'screen-'));
  writeFileSync(join(folder, 'lamp.zip'), await lampBag());
});
afterAll(() => rmSync(folder, { recursive: true }));

function heard() {
  const said: string[] = [];
  const documents: unknown[] = [];
  const io: Io = {
    print: (text) => said.push(text),
    printJson: (document) => documents.push(document),
    complain: (text) => said.push(text),
    progress: () => {},
  };
  return { said, documents, io };
}

it('reads a folder of bags, as one document and for people', async () => {
  const { documents, io } = heard();
  expect(await screen.run([folder, '--json'], io)).toBe(0);
  expect(documents).toMatchObject([
    { ok: true, jobs: 1, thresholds: { learned: false }, unread: [] },
  ]);
  const people = heard();
  expect(await screen.run([folder], people.io)).toBe(0);
  expect(people.said.join('\n')).toMatch(/starting values[^]*never a verdict/);
});

it('names a bag that cannot be read, and screens the others', async () => {
  const bad = join(folder, 'torn.zip');
  writeFileSync(bad, 'no archive');
  const { documents, io } = heard();
  expect(await screen.run([folder, '--json'], io)).toBe(1);
  expect(documents).toMatchObject([{ ok: false, jobs: 1, unread: [{ file: bad }] }]);
  rmSync(bad);
});

it('says in one sentence when there is nothing to read', async () => {
  await expect(screen.run([], heard().io)).rejects.toThrow('Give bags or folders');
  await expect(screen.run([join(folder, 'none')], heard().io)).rejects.toThrow('There is no bag');
});
