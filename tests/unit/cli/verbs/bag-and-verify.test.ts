import { mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { createHash } from 'node:crypto';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { bytesOf } from '#lib/core/bag/bag-file.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { CHECK_IDS } from '#lib/core/bag/report.ts';
import type { Order } from '#lib/core/job/commands.ts';
import { run } from '../../../../src/cli/main.ts';
import { lampPieces, wholeJob } from '../../../support/a-bag.ts';
import { takenApart } from '../../../support/attacker.ts';
import { heard } from '../../../support/heard.ts';

const place = mkdtempSync(join(tmpdir(), 'stillwire-bag-'));
afterAll(() => rmSync(place, { recursive: true, force: true }));

async function folder(name: string, orders = wholeJob): Promise<string> {
  const path = join(place, name);
  const pieces = await lampPieces(orders);
  const photos = orders === wholeJob ? (pieces.photos ?? []) : [];
  for (const file of recordFolderFiles({ ...pieces, photos })) {
    const full = join(path, file.path);
    mkdirSync(dirname(full), { recursive: true });
    writeFileSync(full, await bytesOf(file));
  }
  return path;
}
const record = await folder('record');
const keys = join(record, 'keys.json');
const bag = join(place, 'lamp.zip');

interface Reported {
  readonly ok: boolean;
  readonly error?: string;
  readonly sha256?: string;
  readonly conclusion?: string;
  readonly checks?: readonly { id: string; status: string; says: string; where?: string }[];
  readonly findings?: readonly { code: string }[];
  readonly comparison?: { readonly kind: string };
  readonly job?: { id: string; entries: number };
}

async function json(...args: string[]): Promise<{ status: number; said: Reported }> {
  const { io, documents, printed } = heard();
  const status = await run([...args, '--json'], io);
  expect(printed).toEqual([]);
  expect(documents).toHaveLength(1);
  return { status, said: documents[0] as Reported };
}

const failed = ({ checks }: Reported): string[] =>
  (checks ?? []).filter(({ status }) => status === 'failed').map(({ id }) => id);

describe('bag', () => {
  test('writes a bag and says its digest', async () => {
    const { status, said } = await json('bag', record, bag);
    expect(status).toBe(0);
    const sha256 = createHash('sha256').update(readFileSync(bag)).digest('hex');
    expect(said).toMatchObject({ ok: true, file: bag, sha256 });
  });

  test('leaves out what is withheld, in every byte', async () => {
    const out = join(place, 'withheld.zip');
    expect(
      (await json('bag', record, out, '--withhold', 'site', '--withhold', 'name')).status,
    ).toBe(0);
    const text = readFileSync(out).toString('latin1');
    expect(text).not.toContain('Larch');
    expect(text).not.toContain('Quill');
    expect((await json('verify', out, '--trust', keys)).status).toBe(0);
  });

  test('writes its front page in Spanish when asked', async () => {
    const out = join(place, 'es.zip');
    expect((await json('bag', record, out, '--language', 'es')).status).toBe(0);
    const front = (await takenApart(readFileSync(out))).get('data/front.html');
    expect(Buffer.from(front ?? '').toString()).toContain('<html lang="es" ');
    expect((await json('verify', out)).status).toBe(0);
  });

  test.each<[string, () => Promise<string[]>, RegExp]>([
    [
      'a folder that is not there',
      () => Promise.resolve([join(place, 'nowhere'), bag]),
      /There is no folder/,
    ],
    ['only one name', () => Promise.resolve([record]), /Give a record folder/],
    [
      'a value that is not there to withhold',
      () => Promise.resolve([record, bag, '--withhold', 'adress']),
      /no private value “adress”.*name\.mara, site/,
    ],
    [
      'a language without words',
      () => Promise.resolve([record, bag, '--language', 'fr']),
      /there are: en, es/,
    ],
    [
      'a place that cannot be written',
      () => Promise.resolve([record, join(place, 'no', 'such', 'x.zip')]),
      /could not be written|cannot be written/,
    ],
    [
      'a link in the folder',
      async () => {
        const path = await folder('linked');
        symlinkSync('/etc/hostname', join(path, 'extra'));
        return [path, bag];
      },
      /is a link/,
    ],
    [
      'a file that has no place in a record',
      async () => {
        const path = await folder('strange');
        writeFileSync(join(path, 'notes.txt'), 'x');
        return [path, bag];
      },
      /notes\.txt/,
    ],
  ])('cannot use %s', async (_, args, wanted) => {
    const { status, said } = await json('bag', ...(await args()));
    expect(status).toBe(2);
    expect(said.error).toMatch(wanted);
  });
});

describe('verify', () => {
  test('accepts a good bag, and reports every check in order', async () => {
    const { status, said } = await json('verify', bag, '--trust', keys);
    expect(status).toBe(0);
    expect(said).toMatchObject({ ok: true, conclusion: 'holds', job: { entries: 14 } });
    expect(said.checks?.map(({ id }) => id)).toEqual([...CHECK_IDS]);
    expect(new Set(said.checks?.map(({ status: is }) => is))).toEqual(new Set(['held', 'notRun']));
  });

  test('without a list of trusted keys says that it proves nobody', async () => {
    const { status, said } = await json('verify', bag);
    expect(status).toBe(0);
    expect(said.checks?.find(({ id }) => id === 'keys')).toMatchObject({ status: 'notRun' });
  });

  test('accepts the folder that a bag was unpacked to', async () => {
    const open = join(place, 'unpacked');
    for (const [path, bytes] of await takenApart(readFileSync(bag))) {
      mkdirSync(dirname(join(open, path)), { recursive: true });
      writeFileSync(join(open, path), bytes);
    }
    const { status, said } = await json('verify', open, '--trust', keys);
    expect(status).toBe(0);
    expect(said.checks?.[0]).toMatchObject({ id: 'archive', status: 'notRun' });
    writeFileSync(join(open, 'data/how-to-check.txt'), 'trust me');
    const changed = await json('verify', open, '--trust', keys);
    expect(changed.status).toBe(1);
    expect(failed(changed.said)).toEqual(['bag', 'manifest']);
  });

  test('refuses a changed bag with exit status 1 and the check', async () => {
    const bytes = readFileSync(bag);
    const at = bytes.indexOf('"seq":7');
    bytes[at + 6] = '8'.charCodeAt(0);
    const spoilt = join(place, 'spoilt.zip');
    writeFileSync(spoilt, bytes);
    const { status, said } = await json('verify', spoilt, '--trust', keys);
    expect(status).toBe(1);
    expect(failed(said)).toEqual(['archive']);
  });

  test('of a job that was not closed says that the end is not proven', async () => {
    const half = await folder('half', wholeJob.slice(0, 3));
    const out = join(place, 'half.zip');
    await json('bag', half, out);
    const { status, said } = await json('verify', out, '--trust', keys);
    expect(status).toBe(1);
    expect(said.conclusion).toBe('endNotProven');
    expect(failed(said)).toEqual(['record.end']);
  });

  test('against another bag says whether one continues the other', async () => {
    const [early, forked] = [join(place, 'early.zip'), join(place, 'forked.zip')];
    const other: readonly Order[] = [
      ...wholeJob.slice(0, 2),
      { command: 'nearMiss', what: 'a spark' },
    ];
    await json('bag', await folder('early', wholeJob.slice(0, 3)), early);
    await json('bag', await folder('forked', other), forked);
    const ways = [
      [bag, bag, 0, 'same'],
      [bag, early, 0, 'continues'],
      [early, bag, 0, 'continues'],
      [bag, forked, 1, 'forks'],
    ] as const;
    for (const [one, two, wanted, kind] of ways) {
      const { status, said } = await json('verify', one, '--against', two);
      expect([status, said.comparison?.kind]).toEqual([wanted, kind]);
    }
    const { io, printed } = heard();
    expect(await run(['verify', early, '--against', forked], io)).toBe(1);
    expect(printed.join('\n')).toContain('The bags fork');
    expect((await json('verify', bag, '--against', join(place, 'none.zip'))).status).toBe(2);
  });

  test('of keys that nobody trusts says whose', async () => {
    const others = join(place, 'others.json');
    writeFileSync(others, JSON.stringify({ keys: [], v: 1 }));
    const { status, said } = await json('verify', bag, '--trust', others);
    expect(status).toBe(1);
    expect(failed(said)).toEqual(['keys']);
    expect(said.checks?.find(({ id }) => id === 'keys')?.says).toContain('“mara”');
  });

  test('tells people a sentence, the job, and each check', async () => {
    const { io, printed } = heard();
    expect(await run(['verify', bag, '--trust', keys], io)).toBe(0);
    const said = printed.join('\n');
    expect(said).toMatch(/^Nothing in this bag was changed since it was sealed/);
    expect(said).toContain('Replace the switch of a bench lamp');
    for (const id of CHECK_IDS) expect(said).toContain(id);
    expect(said).not.toMatch(/\bsafe\b/);
  });

  test.each<[string, string[], RegExp]>([
    ['a bag that is not there', [join(place, 'nothing.zip')], /There is no bag/],
    [
      'a list of keys that is not there',
      [bag, '--trust', join(place, 'none.json')],
      /no list of keys/,
    ],
    ['a list of keys that is none', [bag, '--trust', bag], /no list of keys/],
    ['two bags', [bag, bag], /Give one bag/],
  ])('cannot use %s', async (_, args, wanted) => {
    const { status, said } = await json('verify', ...args);
    expect(status).toBe(2);
    expect(said.error).toMatch(wanted);
  });

  test('of something that is no bag fails the archive, and does not break', async () => {
    const { status, said } = await json('verify', keys);
    expect(status).toBe(1);
    expect(failed(said)).toEqual(['archive']);
  });
});

test('a record that replay has sealed goes into a bag that verifies', async () => {
  const commands = join(place, 'commands.jsonl');
  const stamp = (at: number): object => ({
    at: `2026-11-25T10:00:0${at}.000-05:00`,
    mono: at * 1000,
    boot: 'b',
    by: 'mara',
  });
  const lines = wholeJob.slice(0, 3).map((order, at) => JSON.stringify({ ...order, ...stamp(at) }));
  writeFileSync(commands, lines.join('\n'));
  const out = join(place, 'replayed');
  const lamp = join(import.meta.dirname, '../../../support/checklists/bench-lamp.yaml');
  expect((await json('replay', lamp, commands, '--record', out)).status).toBe(0);
  const zip = join(place, 'replayed.zip');
  expect((await json('bag', out, zip)).status).toBe(0);
  const { said } = await json('verify', zip, '--trust', join(out, 'keys.json'));
  expect(failed(said)).toEqual(['record.end']);
  expect(said.findings?.map(({ code }) => code)).toContain('demonstration');
});
