/** The steps of how-to-check.txt, typed into a shell as they stand: they agree with the verifier. */
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { HOW_TO_CHECK_TEXT } from '#lib/core/bag/how-to-check.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { lampPieces, packed } from '../support/a-bag.ts';
import { takenApart } from '../support/attacker.ts';
import type { Contents } from '../support/attacker.ts';

const tools = ['sh', 'jq', 'openssl', 'sha256sum', 'sha512sum', 'base64', 'cmp'];
const missing = tools.filter((tool) => spawnSync('sh', ['-c', `command -v ${tool}`]).status !== 0);
// OpenSSL before 3 cannot verify Ed25519 from its command line.
const old = !/^OpenSSL [3-9]/.test(spawnSync('openssl', ['version']).stdout?.toString() ?? '');
const title =
  missing.length > 0 || old
    ? `how-to-check.txt: skipped, this machine lacks ${missing.join(', ') || 'OpenSSL 3'}`
    : 'how-to-check.txt, run by sh as it stands,';

const commands = HOW_TO_CHECK_TEXT.split('\n')
  .filter((line) => line.startsWith('    '))
  .map((line) => line.slice(4))
  .join('\n');

const place = mkdtempSync(join(tmpdir(), 'stillwire-how-'));
afterAll(() => rmSync(place, { recursive: true, force: true }));
let turn = 0;

function typed(contents: Contents): { out: string; err: string } {
  const folder = join(place, String((turn += 1)));
  for (const [path, bytes] of contents) {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), bytes);
  }
  const { stdout, stderr } = spawnSync('sh', ['-c', commands], { cwd: folder });
  return { out: stdout.toString(), err: stderr.toString() };
}

const bag = await takenApart(await packed(recordFolderFiles(await lampPieces())));
function change(contents: Contents, path: string, from: string, to: string): void {
  const text = Buffer.from(contents.get(path) ?? '').toString();
  expect(text).toContain(from);
  contents.set(path, Buffer.from(text.replace(from, to)));
}
const disclosed = (site: string): string =>
  Buffer.from(`["AgICAgICAgICAgICAgICAg","site","${site} Lane, flat 2"]`).toString('base64url');

describe.skipIf(missing.length > 0 || old)(title, () => {
  it('finds a good bag good at every step', () => {
    const { out, err } = typed(bag);
    expect(err).toBe('');
    expect(out.match(/: OK$/gm)).toHaveLength(10 + 10 + 4 + 4);
    expect(out).not.toMatch(/FAILED|BROKEN|CHANGED|NOT IN|differ|^[<>]/m);
    // One for the seal, one for each entry.
    expect(out.match(/Signature Verified Successfully/g)).toHaveLength(1 + 14);
    expect(out.match(/^\d+ chain ok Signature Verified Successfully$/gm)).toHaveLength(14);
    expect(out).toContain('{"entries":13,');
    expect(out.match(/^ok \[/gm)).toHaveLength(2);
    const checklist = /^([0-9a-f]{64})\n\1$/m;
    expect(out).toMatch(checklist);
    const keys = out.match(/^[\w-]{43}(?= \w+ (entries|export)$)/gm) ?? [];
    expect(keys).toHaveLength(2);
    for (const key of keys) expect(out).toMatch(new RegExp(`^${key}$`, 'm'));
  }, 60_000);

  it('finds what was changed, swapped, added and sealed otherwise', () => {
    const contents = new Map(bag);
    change(contents, 'data/record.jsonl', '"shown":"119.6"', '"shown":"119.7"');
    change(contents, 'data/disclosures.jsonl', disclosed('4 Larch'), disclosed('5 Larch'));
    change(contents, 'tagmanifest-sha256.txt', 'bagit.txt', 'bagit.tx_');
    const [one = '', two = ''] = [...bag.keys()].filter((path) => path.startsWith('data/photos/'));
    contents.set(one, bag.get(two) ?? new Uint8Array());
    contents.set('data/more.txt', Buffer.from('x'));
    const { out, err } = typed(contents);
    expect(out).toContain('data/record.jsonl: FAILED');
    expect(out + err).toMatch(/^4 chain ok Signature Verification Failure$/m);
    expect(out).toMatch(/^5 CHAIN BROKEN/m);
    expect(out).toContain(`CHANGED ${one}`);
    expect(out).toContain('< data/more.txt');
    expect(out).toContain('NOT IN THE RECORD');
    expect(out + err).toMatch(/^Signature Verification Failure$/m);
    expect(out + err).toMatch(/differ/);
  }, 60_000);
});

it('is the text that every bag carries', () => {
  expect(Buffer.from(bag.get('data/how-to-check.txt') ?? '').toString()).toBe(HOW_TO_CHECK_TEXT);
});
