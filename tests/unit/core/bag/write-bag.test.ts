import { downloadZip } from 'client-zip';
import { Uint8ArrayReader, Uint8ArrayWriter, ZipReader } from '@zip.js/zip.js';
import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { writeBag } from '#lib/core/bag/write-bag.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { utf8 } from '#lib/core/record/bytes.ts';
import {
  after,
  aPhoto,
  bagOptions,
  before,
  eventsOf,
  fileOf,
  lampBag,
  lampPieces,
  packed,
  sealAll,
  trusted,
  wholeJob,
} from '../../../support/a-bag.ts';

const bag = await lampBag();

/** The files of an archive by a reader from the registry, which checks sums itself. */
async function unpacked(bytes: Uint8Array): Promise<Map<string, Uint8Array>> {
  const reader = new ZipReader(new Uint8ArrayReader(bytes), { checkSignature: true });
  const files = new Map<string, Uint8Array>();
  for (const entry of await reader.getEntries()) {
    if (entry.directory) continue;
    files.set(entry.filename, await entry.getData(new Uint8ArrayWriter()));
  }
  return files;
}
const contents = await unpacked(bag);
const folder = '019ac0de-7000-7abc-8def-0123456789ab-20261125';
const inBag = (path: string): string =>
  Buffer.from(contents.get(`${folder}/${path}`) ?? '').toString();

describe('a bag that was written', () => {
  it('is read by a ZIP library that is not ours, in one folder named for job and day', () => {
    expect([...contents.keys()].every((name) => name.startsWith(`${folder}/`))).toBe(true);
    expect(inBag('bagit.txt')).toBe('BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n');
  });

  it('has every file of the format and no other', () => {
    const names = [...contents.keys()].map((name) => name.slice(folder.length + 1)).sort();
    expect(names).toEqual(
      [
        'bag-info.txt',
        'bagit.txt',
        'data/checklist.json',
        'data/checklist.yaml',
        'data/disclosures.jsonl',
        'data/front.html',
        'data/how-to-check.txt',
        'data/keys.json',
        `data/photos/${after.sha256}.jpg`,
        `data/photos/${before.sha256}.jpg`,
        'data/record.jsonl',
        'data/shown/en.json',
        'manifest-sha256.txt',
        'manifest-sha512.txt',
        'tagmanifest-sha256.txt',
        'tagmanifest-sha256.txt.note',
        'tagmanifest-sha512.txt',
      ].sort(),
    );
  });

  it('is the same, byte for byte, each time it is written', async () => {
    expect(Buffer.from(await lampBag()).equals(Buffer.from(bag))).toBe(true);
  });

  it('verifies when another program has packed it again, stored or not, and says so', async () => {
    const files = [...contents].map(([name, input]) => ({
      name,
      input,
      lastModified: new Date(0),
    }));
    const again = new Uint8Array(await downloadZip(files).arrayBuffer());
    const report = await verifyBag(again, trusted, nodePrimitives);
    expect(report.checks.filter(({ status }) => status === 'failed')).toEqual([]);
    expect(report.findings.map(({ code }) => code)).toContain('archive-repacked');
    const first = await verifyBag(bag, trusted, nodePrimitives);
    expect(first.findings.map(({ code }) => code)).not.toContain('archive-repacked');
  });

  it('holds the record byte for byte', async () => {
    const pieces = await lampPieces();
    const wanted = pieces.lines.map((line) => `${Buffer.from(line).toString()}\n`).join('');
    expect(inBag('data/record.jsonl')).toBe(wanted);
  });
});

describe('withholding', () => {
  it('leaves a private value out of every byte of the bag, and the bag verifies', async () => {
    const bytes = await lampBag({ withhold: ['site'] });
    expect(Buffer.from(bag).includes('Larch')).toBe(true);
    expect(Buffer.from(bytes).includes('Larch')).toBe(false);
    expect(
      Buffer.from(bytes).includes(Buffer.from('4 Larch Lane').toString('base64url').slice(0, 12)),
    ).toBe(false);
    const report = await verifyBag(bytes, trusted, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.checks.find(({ id }) => id === 'disclosures')?.says).toContain('1 withheld');
    expect(report.findings.map(({ code }) => code)).toContain('withheld');
  });

  it('takes a whole family of values by its first part', async () => {
    const bytes = await lampBag({ withhold: ['name'] });
    expect(Buffer.from(bytes).includes('Quill')).toBe(false);
  });

  it('refuses a name that means nothing, so that a slip hands nothing out', async () => {
    const refused = await writeBag(files, { ...bagOptions, withhold: ['adress'] }, nodePrimitives);
    expect(refused).toMatchObject({
      ok: false,
      flaw: { says: expect.stringContaining('name.mara, site') },
    });
  });

  it('leaves a photo out, and says so', async () => {
    const bytes = await lampBag({ photos: [{ sha256: before.sha256 }] });
    const report = await verifyBag(bytes, trusted, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.findings.map(({ code }) => code)).toContain('photo-withheld');
    expect((await unpacked(bytes)).has(`${folder}/data/photos/${before.sha256}.jpg`)).toBe(false);
  });

  it('shows a blurred photo in place of the original, and says which', async () => {
    const blurred = aPhoto(3);
    const shown = {
      sha256: blurred.sha256,
      size: blurred.bytes.length,
      open: () => [blurred.bytes],
    };
    const bytes = await lampBag({ photos: [{ sha256: before.sha256, blurred: shown }] });
    const report = await verifyBag(bytes, trusted, nodePrimitives);
    expect(report.ok).toBe(true);
    expect(report.findings).toContainEqual(
      expect.objectContaining({
        code: 'photo-blurred',
        says: expect.stringContaining(before.sha256),
      }),
    );
  });

  it('a photo that was erased has to be gone: the verifier finds one that is still there', async () => {
    const events = eventsOf(wholeJob);
    const last = events.at(-1);
    if (last === undefined) throw new Error('no job');
    const erased: JobEvent = {
      ...last,
      type: 'disclosure.erased',
      body: { digest: before.sha256, why: 'the tenant asked' },
    };
    const { sealed, disclosures } = await sealAll([...events, erased]);
    const lines = sealed.map(({ line }) => line);
    const pieces = await lampPieces(wholeJob, { lines, disclosures });
    const codes = async (photos: NonNullable<typeof pieces.photos>): Promise<string[]> => {
      const bytes = await packed(recordFolderFiles({ ...pieces, photos }), {});
      const { findings } = await verifyBag(bytes, trusted, nodePrimitives);
      return findings.flatMap(({ code }) => (code.startsWith('photo-') ? [code] : []));
    };
    const all = pieces.photos ?? [];
    expect(await codes(all)).toEqual(['photo-kept']);
    const others = all.filter(({ sha256 }) => sha256 !== before.sha256);
    expect(await codes(others)).toEqual(['photo-erased']);
  });

  it('refuses a photo that the record does not name', async () => {
    const refused = await writeBag(
      files,
      { ...bagOptions, photos: [{ sha256: 'a'.repeat(64) }] },
      nodePrimitives,
    );
    expect(refused.ok).toBe(false);
  });
});

const files = recordFolderFiles(await lampPieces());

describe('a folder that is not a whole record is refused in words', () => {
  const without = (path: string): typeof files => files.filter((file) => file.path !== path);
  const instead = (path: string, text: string): typeof files => [
    ...without(path),
    fileOf(path, utf8(text)),
  ];

  it.each<[string, typeof files, RegExp]>([
    ['no record', without('record.jsonl'), /no record\.jsonl/],
    ['no checklist', without('checklist.yaml'), /no checklist\.yaml/],
    ['an empty record', instead('record.jsonl', ''), /empty/],
    ['a broken record', instead('record.jsonl', '{"entry":{}}\n'), /record\.jsonl: Line 1/],
    ['broken keys', instead('keys.json', '{}'), /keys\.json/],
    [
      'broken disclosures',
      instead('disclosures.jsonl', '{"seq":0}\n'),
      /disclosures\.jsonl: Line 1/,
    ],
    ['another checklist as JSON', instead('checklist.json', '{}'), /canonical form/],
    [
      'a checklist that cannot be read',
      instead('checklist.yaml', 'format: 1\nformat: 1\n'),
      /checklist\.yaml line/,
    ],
    ['broken words', instead('shown/en.json', '{}'), /shown\/en\.json/],
    ['a file without a place', [...files, fileOf('notes.txt', utf8('x'))], /notes\.txt/],
    ['a photo by another name', [...files, fileOf('photos/one.jpg', utf8('x'))], /no place/],
  ])('%s', async (_, folderFiles, wanted) => {
    const refused = await writeBag(folderFiles, bagOptions, nodePrimitives);
    expect(refused).toMatchObject({ ok: false, flaw: { says: expect.stringMatching(wanted) } });
  });

  it('and a file that changes while it is put into the bag breaks it off', async () => {
    let turn = 0;
    const moving = {
      path: `photos/${before.sha256}.jpg`,
      size: 20 * 1024 * 1024,
      *open() {
        turn += 1;
        for (let at = 0; at < 20; at += 1) yield new Uint8Array(1024 * 1024).fill(turn);
      },
    };
    const changing = [...without(moving.path), moving];
    await expect(packed(changing)).rejects.toThrow(/changed while/);
  });

  it('as does one that is shorter than it said', async () => {
    const short = {
      path: `photos/${before.sha256}.jpg`,
      size: 999,
      open: () => [new Uint8Array(5)],
    };
    await expect(packed([...without(short.path), short])).rejects.toThrow(/said to have 999/);
  });
});
