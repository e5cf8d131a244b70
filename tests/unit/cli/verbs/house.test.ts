import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../../../../src/cli/main.ts';
import { loadChecklist } from '../../../../src/lib/core/checklist/load.ts';
import { heard } from '../../../support/heard.ts';

const list = 'checklists/range-door-lock.yaml';
let folder = '';
const limits = (bond: string) => {
  const file = join(folder, 'limits.yaml');
  const head = 'format: 1\nfirm: Alder Row\nofficer: Mara Quill\nissued: 2026-11-02\n';
  writeFileSync(file, `${head}limits:\n  range-door-lock:\n    ${bond}\n`);
  return file;
};

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'stillwire-house-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

async function house(file: string) {
  const { io, printed, complaints } = heard();
  return { status: await run(['house', list, file], io), printed, complaints };
}

describe('house', () => {
  test('prints the list with the limits of the firm in it, which can be used', async () => {
    const { status, printed } = await house(limits('bond: {most: 0.2 ohm}'));
    expect(status).toBe(0);
    const read = loadChecklist(printed.join('\n'));
    if (!read.ok) throw new Error(read.problems.map(({ says }) => says).join(' '));
    expect(read.checklist.steps.find(({ id }) => id === 'bond')).toMatchObject({ limit: 'house' });
  });

  test('a looser value: status 1, the place and the reason, and no list', async () => {
    const { status, printed, complaints } = await house(limits('motor: {most: 3 kohm}'));
    expect(status).toBe(1);
    expect(printed).toEqual([]);
    expect(complaints.join('\n')).toMatch(
      /limits\.range-door-lock\.motor: .*looser than the maker/u,
    );
  });

  test('languages are looked for beside the list', async () => {
    const file = limits('bond: {most: 0.2 ohm}\nlanguages: [en, es]');
    expect((await house(file)).status).toBe(0);
    const { status, complaints } = await house(limits('bond: {most: 0.2 ohm}\nlanguages: [fr]'));
    expect(status).toBe(1);
    expect(complaints.join('\n')).toMatch(/languages: .*no words in fr; it has en, es/u);
  });

  test('a file that is none: status 2', async () => {
    expect((await house(limits('bond: 0.2 ohm'))).status).toBe(2);
  });
});
