import { describe, expect, test } from 'vitest';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { frontPage } from '#lib/core/bag/front/front-page.ts';
import { readRecordFolder } from '#lib/core/bag/read-folder.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { checklistIdentity } from '#lib/core/checklist/identity.ts';
import { editsBetween } from '#lib/core/checklist/revision-edits.ts';
import type { Order } from '#lib/core/job/commands.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { lampChecklist, lampPieces, packed, trusted, wholeJob } from '../../../support/a-bag.ts';

type Lamp = Readonly<Record<string, unknown>> & { readonly sources: Record<string, object> };
const lamp = lampChecklist.json as Lamp;
const [source = ''] = Object.keys(lamp.sources);
const mains = lamp.sources[source] as { dead: object };
const newer = {
  ...lamp,
  revision: lampChecklist.checklist.revision + 1,
  sources: { ...lamp.sources, [source]: { ...mains, dead: { ...mains.dead, below: '1.5 V' } } },
};

const rebase = (sha256: string): Order => ({
  command: 'rebase',
  sha256,
  edits: editsBetween(lamp, newer) ?? [],
  why: 'the office has a lower limit',
});
const [open, count, ...rest] = wholeJob;
const over = (sha256: string): Order[] =>
  [open, count, rebase(sha256), ...rest].filter((order) => order !== undefined);

const identity = checklistIdentity(newer, nodePrimitives.sha256);

async function verified(sha256: string) {
  const files = recordFolderFiles(await lampPieces(over(sha256)));
  const report = await verifyBag(await packed(files), trusted, nodePrimitives);
  const check = report.checks.find(({ id }) => id === 'checklist');
  const failed = report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id);
  return { files, check, failed };
}

describe('a bag whose job went over to a newer revision', () => {
  test('holds, and says from which entry on', async () => {
    const { check, failed } = await verified(identity);
    expect(failed).toEqual([]);
    expect(check?.findings.map(({ code }) => code)).toEqual(['rebased']);
    expect(check?.findings[0]?.says).toContain(identity);
  });

  test('fails when what the entry changes does not lead to what it names', async () => {
    const { check, failed } = await verified('f'.repeat(64));
    expect(failed).toEqual(['checklist']);
    expect(check?.findings.map(({ code }) => code)).toEqual(['rebase-other']);
  });

  test('tells it on the front page: who, why, what changed, and judges by the newer limit after', async () => {
    const { files } = await verified(identity);
    const folder = await readRecordFolder(files, nodePrimitives);
    if (!folder.ok) throw new Error(folder.flaw.says);
    const page = frontPage({
      language: 'en',
      ...folder.value,
      shown: null,
      photos: folder.value.named,
      photoChanges: [],
      digests: { record: '', checklist: '' },
      receipts: [],
      timestamps: 0,
    });
    expect(page).toContain('The job went over to revision');
    expect(page).toContain('the office has a lower limit');
    expect(page).toMatch(/dead › below<\/?\w*[^”]*is now “[^”]*1\.5 V/);
    expect(page).toMatch(/From entry \d+ on revision/);
    expect(page).toMatch(/below [^.]*1\.5 V/);
  });
});
