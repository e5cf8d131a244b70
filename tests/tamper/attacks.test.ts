/**
 * Each thing that somebody may do to a bag, and the check that catches it. The attacker seals again with
 * their own key, so that manifests and seal never catch it for the others; an insider signs with a key
 * that is trusted. Where one check stands alone, blinding it lets the attack through: none is spare.
 */
import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { PAGE_VERSION } from '#lib/core/bag/front/front-page.ts';
import { held } from '#lib/core/bag/report.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { fromHex, utf8 } from '#lib/core/record/bytes.ts';
import { signCheckpoint } from '#lib/core/record/checkpoint.ts';
import { receiptText } from '#lib/core/record/receipt.ts';
import { inclusionProof, rootAt, treeOf } from '#lib/core/record/tree.ts';
import { packed, sealAll } from '../support/a-bag.ts';
import { resealed } from '../support/attacker.ts';
import {
  pieces,
  bag,
  fresh,
  logKey,
  origin,
  trust,
  attacked,
  events,
  receiptOf,
} from '../support/attack-scene.ts';
import { onContainer } from '../support/attacks-on-container.ts';
import { onContents } from '../support/attacks-on-contents.ts';
import { onRecord } from '../support/attacks-on-record.ts';

const attacks = [...onContainer, ...onRecord, ...onContents];

describe('the bag before anything was done to it', () => {
  it('holds', async () => {
    const report = await verifyBag(bag, trust, nodePrimitives);
    expect(report.checks.filter(({ status }) => status === 'failed')).toEqual([]);
    expect(report.ok).toBe(true);
  });

  it('holds, too, when it was only sealed again', async () => {
    const report = await verifyBag(await resealed(new Map(fresh)), trust, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.findings.map(({ code }) => code)).toContain('seal-key-untrusted');
  });

  it('holds with receipts of a log that is trusted', async () => {
    const bytes = await attacked(async (contents) => {
      for (const seq of [0, 5, 13])
        contents.set(`data/receipts/${seq}.tlog-proof`, await receiptOf(seq));
    });
    const report = await verifyBag(bytes, trust, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.checks.find(({ id }) => id === 'receipts')).toMatchObject({ status: 'held' });
  });
});

describe.each(attacks)('$what', ({ check, alone, make }) => {
  it(`is caught by ${check}`, async () => {
    const report = await verifyBag(await make(), trust, nodePrimitives);
    const failed = report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id);
    expect(failed).toContain(check);
    expect(report.ok).toBe(false);
    const verdict = report.checks.find(({ id }) => id === check);
    expect(verdict?.says).toMatch(/^[A-Z“].*[.)]/);
    expect(verdict?.findings.some(({ fails }) => fails)).toBe(true);
    if (alone) expect(failed).toEqual([check]);
  });

  it.runIf(alone && check !== 'archive')('and would pass if that check were blind', async () => {
    const checks = { [check]: () => held('blind') };
    const report = await verifyBag(await make(), trust, nodePrimitives, { checks });
    expect(report.ok).toBe(true);
  });
});

describe('a front page of another version', () => {
  it('is not compared, and the report says so: nobody may take it for the record', async () => {
    const contents = new Map(fresh);
    const page = Buffer.from(fresh.get('data/front.html') ?? '').toString();
    const other = page.replace(`data-page="${PAGE_VERSION}"`, `data-page="${PAGE_VERSION + 1}"`);
    expect(other).not.toBe(page);
    contents.set('data/front.html', Buffer.from(other));
    const report = await verifyBag(await resealed(contents), trust, nodePrimitives);
    expect(report.checks.find(({ id }) => id === 'front')).toMatchObject({ status: 'notRun' });
    expect(report.findings.map(({ code }) => code)).toContain('front-version');
  });
});

describe('with no list of trusted keys', () => {
  it('a bag signed throughout by a stranger holds together, and says that it proves nobody', async () => {
    const resigned = attacks.find(({ what }) => what.startsWith('everything signed again'));
    const report = await verifyBag(
      (await resigned?.make()) ?? new Uint8Array(),
      null,
      nodePrimitives,
    );
    expect(report.checks.find(({ id }) => id === 'keys')).toMatchObject({ status: 'notRun' });
    expect(report.says).toContain('not proven');
  });
});

describe('a bag of a job that is not finished', () => {
  it('is not cut, for all that can be seen, and its end is not proven', async () => {
    const { sealed: half, disclosures } = await sealAll(events.slice(0, 3));
    const files = recordFolderFiles({
      ...pieces,
      lines: half.map(({ line }) => line),
      disclosures,
      photos: [],
    });
    const report = await verifyBag(await packed(files), trust, nodePrimitives);
    expect(report).toMatchObject({ ok: false, conclusion: 'endNotProven' });
    expect(report.checks.filter(({ status }) => status === 'failed').map(({ id }) => id)).toEqual([
      'record.end',
    ]);
  });

  it('is vouched for by a receipt of its last entry', async () => {
    const { sealed: half, disclosures } = await sealAll(events.slice(0, 3));
    const tree = treeOf(
      half.map(({ hash }) => fromHex(hash) ?? new Uint8Array()),
      nodePrimitives,
    );
    const root = rootAt(3, tree.nodeAt, nodePrimitives);
    const note = await signCheckpoint(
      { origin, size: 3, root },
      logKey.publicKey,
      logKey.sign,
      nodePrimitives,
    );
    const receipt = receiptText(
      2,
      inclusionProof(2, 3, tree.nodeAt, nodePrimitives),
      note.ok ? note.value : '',
    );
    const files = recordFolderFiles({
      ...pieces,
      lines: half.map(({ line }) => line),
      disclosures,
      photos: [],
      receipts: new Map([[2, utf8(receipt)]]),
    });
    const report = await verifyBag(await packed(files), trust, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.checks.find(({ id }) => id === 'record.end')?.says).toContain(
      'can say whether more came',
    );
  });
});
