/**
 * The verifier beside a checker in another language that shares no line with it: python3 with the
 * system's openssl. On the good bag, on a frozen one and on every attack the two come to the same, check
 * by check, where both look.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readFile } from 'node:fs/promises';
import { afterAll, describe, expect, it } from 'vitest';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { bag } from '../support/attack-scene.ts';
import { onContainer } from '../support/attacks-on-container.ts';
import { onContents } from '../support/attacks-on-contents.ts';
import { onRecord } from '../support/attacks-on-record.ts';

const checker = fileURLToPath(new URL('second-checker/check.py', import.meta.url));
const works = (command: string, ...args: string[]): string =>
  spawnSync(command, args).stdout?.toString() ?? '';
const able =
  /^Python 3/.test(works('python3', '--version')) &&
  /^OpenSSL [3-9]/.test(works('openssl', 'version'));
const title = able
  ? 'the second checker'
  : 'the second checker: skipped, no python3 or no OpenSSL 3';

const folder = mkdtempSync(join(tmpdir(), 'stillwire-second-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Second {
  readonly ok: boolean;
  readonly failed: Readonly<Record<string, readonly string[]>>;
}

function second(bytes: Uint8Array): Second {
  const file = join(folder, 'bag.zip');
  writeFileSync(file, bytes);
  const { stdout, stderr, status } = spawnSync('python3', [checker, file]);
  if (stdout.length === 0) throw new Error(stderr.toString());
  const report = JSON.parse(stdout.toString()) as Second;
  expect(status).toBe(report.ok ? 0 : 1);
  return report;
}

/** What both look at; the rest (names in an archive, front page, clocks, safety, trust) is the verifier's. */
const BOTH = [
  'manifest',
  'record.order',
  'record.chain',
  'record.signatures',
  'photos',
  'disclosures',
] as const;
/** The verifier looks further there: at the words shown, at whose the keys are. */
const SEEN_BY_ONE = ['keys', 'checklist', 'record.end'] as const;

describe.skipIf(!able)(title, () => {
  it('finds nothing in a good bag', () => {
    expect(second(bag)).toEqual({ ok: true, failed: {} });
  });

  it('finds nothing in a bag of the first version, frozen', async () => {
    const frozen = await readFile(new URL('../vectors/bag-1.zip', import.meta.url));
    expect(second(frozen)).toEqual({ ok: true, failed: {} });
  });

  it.each([...onContainer, ...onRecord, ...onContents])('agrees on $what', async ({ make }) => {
    const bytes = await make();
    const ours = await verifyBag(bytes, null, nodePrimitives);
    const theirs = second(bytes);
    const status = new Map<string, string>(ours.checks.map(({ id, status }) => [id, status]));
    // A container that a plain reader opens may still be hostile; one that it cannot open never passes.
    if (status.get('archive') === 'failed') return;
    if ('archive' in theirs.failed) {
      expect(ours.ok).toBe(false);
      return;
    }
    if ('record.form' in theirs.failed) {
      expect(status.get('record.form')).toBe('failed');
      return;
    }
    const looked = BOTH.filter((id) => status.get(id) !== 'notRun');
    expect(looked.filter((id) => id in theirs.failed)).toEqual(
      looked.filter((id) => status.get(id) === 'failed'),
    );
    for (const id of SEEN_BY_ONE) {
      if (id in theirs.failed) expect(status.get(id)).not.toBe('held');
    }
    if (!theirs.ok) expect(ours.ok).toBe(false);
  });
});
