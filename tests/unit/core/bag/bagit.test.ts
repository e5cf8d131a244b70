import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { bagInfoText, readBagInfo } from '#lib/core/bag/bag-info.ts';
import type { BagInfo } from '#lib/core/bag/bag-info.ts';
import {
  DECLARATION,
  manifestFindings,
  manifestText,
  readManifest,
  structureFindings,
} from '#lib/core/bag/bagit.ts';
import type { BagFiles, Digested } from '#lib/core/bag/bagit.ts';
import { describeWithVectors, vectorNames, vectorsFolder } from '../../../support/vectors.ts';

function digested(bytes: Uint8Array): Digested {
  const digest = (name: string): string => createHash(name).update(bytes).digest('hex');
  return { size: bytes.length, sha256: digest('sha256'), sha512: digest('sha512'), bytes };
}

function filesIn(folder: string): BagFiles {
  const files = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((item) =>
    item.isFile(),
  );
  return new Map(
    files.map((item) => {
      const full = join(item.parentPath, item.name);
      return [full.slice(folder.length + 1), digested(readFileSync(full))];
    }),
  );
}

const codes = (files: BagFiles): string[] =>
  [...structureFindings(files), ...manifestFindings(files)].map(({ code }) => code);

describeWithVectors('the BagIt conformance bags of version 1.0', () => {
  const folder = (...path: string[]): string => join(vectorsFolder, 'bagit', 'v1.0', ...path);

  it.each(vectorNames('bagit', 'v1.0', 'valid'))('valid: %s', (name) => {
    expect(codes(filesIn(folder('valid', name)))).toEqual([]);
  });

  it.each(vectorNames('bagit', 'v1.0', 'invalid'))('invalid: %s', (name) => {
    expect(codes(filesIn(folder('invalid', name)))).not.toEqual([]);
  });

  it('are the five of the published suite', () => {
    const names = ['valid', 'invalid'].flatMap((kind) => vectorNames('bagit', 'v1.0', kind));
    expect(names).toHaveLength(5);
  });
});

// RFC 8493 section 3, and the cases of the published suite made anew.
describe('a bag', () => {
  const hello = Buffer.from('hello\n');
  const other = Buffer.from('other\n');
  const sha256 = createHash('sha256').update(hello).digest('hex');
  const bag = (more: Record<string, Uint8Array | null> = {}): BagFiles => {
    const manifest = Buffer.from(`${sha256}  data/hello.txt\n`);
    const base: Record<string, Uint8Array | null> = {
      'bagit.txt': Buffer.from(DECLARATION),
      'manifest-sha256.txt': manifest,
      'data/hello.txt': hello,
      ...more,
    };
    return new Map(
      Object.entries(base).flatMap(([path, bytes]) =>
        bytes === null ? [] : [[path, digested(bytes)] as const],
      ),
    );
  };

  it('that is whole is valid', () => {
    expect(codes(bag())).toEqual([]);
  });

  it.each<[string, Record<string, Uint8Array | null>, string]>([
    ['no declaration', { 'bagit.txt': null }, 'bag-declaration'],
    ['a byte order mark', { 'bagit.txt': Buffer.from(`\ufeff${DECLARATION}`) }, 'bag-declaration'],
    [
      'white space before a colon',
      { 'bagit.txt': Buffer.from(DECLARATION.replace(':', ' :')) },
      'bag-declaration',
    ],
    [
      'another encoding',
      { 'bagit.txt': Buffer.from(DECLARATION.replace('UTF-8', 'UTF-16')) },
      'bag-declaration',
    ],
    [
      'another version',
      { 'bagit.txt': Buffer.from(DECLARATION.replace('1.0', '2.0')) },
      'bag-declaration',
    ],
    ['a third line', { 'bagit.txt': Buffer.from(`${DECLARATION}x: y\n`) }, 'bag-declaration'],
    ['files to fetch', { 'fetch.txt': Buffer.from('') }, 'bag-fetch'],
    ['no manifest', { 'manifest-sha256.txt': null }, 'bag-manifest-missing'],
    ['no payload', { 'data/hello.txt': null }, 'bag-empty'],
    ['a changed file', { 'data/hello.txt': other }, 'file-changed'],
    ['a file more', { 'data/more.txt': other }, 'file-unlisted'],
    [
      'a file twice, one digest',
      { 'manifest-sha256.txt': Buffer.from(`${sha256}  data/hello.txt\n`.repeat(2)) },
      'manifest-form',
    ],
    [
      'a file twice, two digests',
      {
        'manifest-sha256.txt': Buffer.from(
          `${sha256}  data/hello.txt\n${'0'.repeat(64)}  data/hello.txt\n`,
        ),
      },
      'manifest-form',
    ],
    [
      'a path that climbs',
      { 'manifest-sha256.txt': Buffer.from(`${sha256}  data/../../x\n`) },
      'manifest-form',
    ],
    [
      'a path from the root',
      { 'manifest-sha256.txt': Buffer.from(`${sha256}  /etc/passwd\n`) },
      'manifest-form',
    ],
    ['a home folder', { 'manifest-sha256.txt': Buffer.from(`${sha256}  ~/x\n`) }, 'manifest-form'],
    [
      'a tag file among the payload',
      { 'manifest-sha256.txt': Buffer.from(`${sha256}  data/hello.txt\n${sha256}  bagit.txt\n`) },
      'manifest-scope',
    ],
    [
      'a tag manifest that lists itself',
      { 'tagmanifest-sha256.txt': Buffer.from(`${sha256}  tagmanifest-sha512.txt\n`) },
      'manifest-scope',
    ],
    [
      'a tag manifest that leaves one out',
      {
        'tagmanifest-sha256.txt': Buffer.from(
          `${createHash('sha256').update(DECLARATION).digest('hex')}  bagit.txt\n`,
        ),
      },
      'file-unlisted',
    ],
    [
      'a second manifest that is short',
      { 'manifest-sha512.txt': Buffer.from('') },
      'file-unlisted',
    ],
  ])('with %s is not', (_, more, wanted) => {
    expect(codes(bag(more))).toContain(wanted);
  });
});

describe('manifests', () => {
  it('are written sorted, and read back', () => {
    const text = manifestText([
      ['data/b', '22'],
      ['data/a', '11'],
    ]);
    expect(text).toBe('11  data/a\n22  data/b\n');
    expect(readManifest(text)).toEqual(
      new Map([
        ['data/a', '11'],
        ['data/b', '22'],
      ]),
    );
  });

  it.each([
    ['no digest', '  data/a\n'],
    ['upper-case hex', 'AB  data/a\n'],
    ['no path', 'ab\n'],
    ['an unended line', 'ab  data/a'],
    ['an empty line', 'ab  data/a\n\n'],
  ])('are refused with %s', (_, text) => {
    expect(typeof readManifest(text)).toBe('string');
  });
});

describe('bag-info.txt', () => {
  const info: BagInfo = {
    job: '019ac0de-7000-7abc-8def-0123456789ab',
    date: '2026-11-25',
    software: '0.1.0',
    entries: 14,
    head: 'ab'.repeat(32),
    sealedBy: 'kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k',
    demonstration: true,
    photos: [{ sha256: 'cd'.repeat(32) }, { sha256: 'ef'.repeat(32), shownAs: '12'.repeat(32) }],
    octets: 40721,
    streams: 10,
  };
  const text = bagInfoText(info);

  it('is read back as it was written', () => {
    expect(readBagInfo(text)).toEqual(info);
  });

  it.each([
    ['an unknown label', `${text}Contact-Name: x\n`],
    ['a label twice', text.replace('Bagging-Date', 'Bagging-Date: 2026-11-25\nBagging-Date')],
    ['labels in another order', text.split('\n').slice(0, -1).reverse().join('\n') + '\n'],
    ['a count with a zero before it', text.replace('Entries: 14', 'Entries: 014')],
    ['a newer format', text.replace('Format: 1', 'Format: 2')],
    ['two spaces', text.replace(': ', ':  ')],
    ['no line feed at the end', text.slice(0, -1)],
    ['a photo by another name', text.replace('cd'.repeat(32), 'photo-7')],
  ])('is refused with %s', (_, spoilt) => {
    expect(typeof readBagInfo(spoilt)).toBe('string');
  });
});
