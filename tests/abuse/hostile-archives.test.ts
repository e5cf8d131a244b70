/** Archives made to harm whoever opens them: refused, in bounded time and memory, in words. */
import { deflateRawSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { sourceOf } from '#lib/core/bag/source.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { contentsOf, openArchive } from '#lib/core/bag/zip-reader.ts';
import { rawZip } from '../support/raw-zip.ts';
import type { RawEnd, RawFile } from '../support/raw-zip.ts';

const hello = Buffer.from('hello');
const file = (more: Partial<RawFile> = {}): RawFile => ({
  name: 'bag/a.txt',
  content: hello,
  ...more,
});

/** What the verifier says of it; the check must be `archive`, and all others not run. */
async function refused(bytes: Uint8Array): Promise<string> {
  const report = await verifyBag(bytes, null, nodePrimitives);
  const [archive, ...others] = report.checks;
  expect(archive).toMatchObject({ id: 'archive', status: 'failed' });
  expect(new Set(others.map(({ status }) => status))).toEqual(new Set(['notRun']));
  expect(report.ok).toBe(false);
  return archive?.says ?? '';
}

describe('an archive is refused for', () => {
  it.each<[string, readonly RawFile[], RegExp]>([
    ['a name that climbs', [file({ name: 'bag/../../etc/passwd' })], /climbs/],
    ['a name that climbs in the middle', [file({ name: 'bag/x/../../y' })], /climbs/],
    ['a name from the root', [file({ name: '/etc/passwd' })], /begins at/],
    ['a drive letter', [file({ name: 'C:/x' })], /characters/],
    ['backslashes', [file({ name: 'bag\\..\\x' })], /backslash/],
    ['an empty part', [file({ name: 'bag//x' })], /empty part/],
    ['a part of one dot', [file({ name: 'bag/./x' })], /empty part/],
    ['a hidden file', [file({ name: 'bag/.ssh' })], /characters/],
    ['a device of another system', [file({ name: 'bag/con.txt' })], /device/],
    ['a trailing full stop', [file({ name: 'bag/x.' })], /full stop/],
    ['a line feed in a name', [file({ name: 'bag/a\nb' })], /characters/],
    ['a letter beyond ASCII', [file({ name: 'bag/é' })], /characters/],
    ['a very long name', [file({ name: `bag/${'a'.repeat(300)}` })], /longer/],
    ['no name', [file({ name: '' })], /empty/],
    ['a name twice', [file(), file()], /twice/],
    ['twins in another case', [file(), file({ name: 'bag/A.TXT' })], /case/],
    ['a link', [file({ says: { attributes: 0o120777 * 0x10000 } })], /link/],
    ['a device node', [file({ says: { attributes: 0o020644 * 0x10000 } })], /device/],
    ['encryption', [file({ says: { flags: 1 } })], /encrypted/],
    ['strong encryption', [file({ says: { flags: 0x40 } })], /encrypted/],
    ['an unknown method', [file({ says: { method: 12 } })], /method 12/],
    ['two sizes of a stored file', [file({ says: { size: 6 } })], /two sizes/],
    ['a folder with contents', [file({ name: 'bag/x/' })], /contents|device/],
    ['a part on another disk', [file({ says: { disk: 1 } })], /several/],
    [
      'a name that differs in the two headers',
      [file({ local: { name: 'bag/b.txt' } })],
      /two headers/,
    ],
    ['a sum that differs', [file({ local: { crc: 1 } })], /two headers/],
    ['a size that differs', [file({ local: { size: 4 } })], /two headers/],
    ['a method that differs', [file({ local: { method: 8 } })], /two headers/],
    ['flags that differ', [file({ local: { flags: 0x800 } })], /two headers/],
    ['a time that differs', [file({ local: { time: 99 } })], /two headers/],
    ['a wrong sum behind the data', [file({ descriptor: 'wrong' })], /two headers/],
    ['bytes between files', [file({ gap: 3 }), file({ name: 'bag/b.txt' })], /belong to no file/],
    ['bytes behind the last file', [file({ gap: 3 })], /belong to none/],
    [
      'two files in one place',
      [file(), file({ name: 'bag/b.txt', offset: 0 })],
      /belong to no file|two/,
    ],
    ['a wrong sum', [file({ says: { crc: 7 } })], /sum/],
    ['broken packed data', [file({ says: { method: 8, size: 900 } })], /broken/],
    ['more than it says', [file({ deflated: true, says: { size: 3 } })], /longer/],
    ['less than it says', [file({ deflated: true, says: { size: 9 } })], /shorter/],
    ['two folders', [file(), file({ name: 'other/a.txt' })], /one folder/],
    ['a loose file', [file({ name: 'a.txt' })], /loose/],
  ])('%s', async (_, files, wanted) => {
    expect(await refused(rawZip(files))).toMatch(wanted);
  });

  it.each<[string, RawEnd, RegExp]>([
    ['a comment', { comment: Buffer.from('hi') }, /end like a ZIP|comment/],
    ['a program before it', { prefix: 64 }, /belong to no file/],
    ['fewer files than it says', { count: 2 }, /as many files/],
    ['several disks', { disk: 1 }, /several/],
  ])('%s', async (_, end, wanted) => {
    expect(await refused(rawZip([file()], end))).toMatch(wanted);
  });

  it.each([
    ['nothing', new Uint8Array()],
    ['no archive', Buffer.from('this is a letter, not a bag, and it is long enough')],
    ['a cut archive', rawZip([file()]).subarray(0, 60)],
    ['a directory beyond the file', Buffer.concat([rawZip([file()]).subarray(40)])],
  ])('being %s', async (_, bytes) => {
    expect(await refused(new Uint8Array(bytes))).toMatch(/ZIP|archive|belong|directory/);
  });

  it('packed data followed by something that no header tells of', async () => {
    const packed = deflateRawSync(hello);
    const content = Buffer.concat([packed, Buffer.from('smuggled')]);
    const { crc32 } = await import('node:zlib');
    const says = { method: 8, size: 5, crc: crc32(hello), packed: content.length };
    expect(await refused(rawZip([file({ content, says })]))).toMatch(/followed by more/);
  });
});

describe('bombs', () => {
  const zeros = Buffer.alloc(16 * 1024 * 1024);
  const bomb = file({ content: zeros, deflated: true });

  it('are refused by what they say', async () => {
    expect(await refused(rawZip([bomb]))).toMatch(/far more than it is packed in/);
  });

  it('are stopped by what they do when they lie: no more is inflated than was said', async () => {
    const lying = rawZip([file({ content: zeros, deflated: true, says: { size: 1000 } })]);
    const source = sourceOf(lying);
    const opened = await openArchive(source);
    if (!opened.ok) throw new Error(opened.flaw.says);
    const [first] = opened.value.files;
    if (first === undefined) throw new Error('empty');
    let given = 0;
    const read = async (): Promise<void> => {
      for await (const bytes of contentsOf(source, first, purePrimitives)) given += bytes.length;
    };
    await expect(read()).rejects.toThrow(/longer than its header/);
    expect(given).toBeLessThanOrEqual(1000);
  });

  it('of many files are refused by their number', async () => {
    const many = Array.from({ length: 20_001 }, (_, at) => file({ name: `bag/${at}` }));
    expect(await refused(rawZip(many))).toMatch(/20001 files/);
  });

  it('that together are too much are refused by their sum', async () => {
    const chunk = Buffer.alloc(1024 * 1024);
    // Each stays within the ratio; only together do they pass the limit set here.
    const files = Array.from({ length: 10 }, (_, at) =>
      file({ name: `bag/${at}`, content: chunk, deflated: true }),
    );
    const limits = { files: 20, directory: 100_000, inflated: 5 * 1024 * 1024, ratio: 2000 };
    const opened = await openArchive(sourceOf(rawZip(files)), limits);
    expect(opened).toMatchObject({ ok: false, flaw: { says: expect.stringMatching(/far more/) } });
  });

  it('cost no memory to speak of', async () => {
    const lying = rawZip([file({ content: zeros, deflated: true, says: { size: 900_000 } })]);
    const before = process.memoryUsage().rss;
    await verifyBag(lying, null, nodePrimitives);
    expect(process.memoryUsage().rss - before).toBeLessThan(100 * 1024 * 1024);
  });
});

describe('an honest archive of another program is read', () => {
  it.each<[string, Partial<RawFile>]>([
    ['stored', {}],
    ['deflated', { deflated: true }],
    ['with sums behind the data', { descriptor: 'marked' }],
    ['with unmarked sums behind the data', { descriptor: 'plain', deflated: true }],
    ['with extra fields', { says: { extra: Buffer.from([0x55, 0x54, 1, 0, 0]) } }],
    ['made on another system', { says: { madeBy: 20, attributes: 0x20 } }],
    ['with the flag for UTF-8 names', { says: { flags: 0x800 } }],
    ['empty', { content: new Uint8Array() }],
  ])('%s', async (_, more) => {
    const source = sourceOf(
      rawZip([
        { name: 'bag/', content: new Uint8Array(), says: { attributes: 0o040755 * 0x10000 } },
        file(more),
      ]),
    );
    const opened = await openArchive(source);
    if (!opened.ok) throw new Error(opened.flaw.says);
    const found = opened.value.files.find(({ name }) => name === 'bag/a.txt');
    if (found === undefined) throw new Error('missing');
    const parts: Uint8Array[] = [];
    for await (const bytes of contentsOf(source, found, {})) parts.push(bytes);
    expect(Buffer.concat(parts)).toEqual(Buffer.from(more.content ?? hello));
  });
});
