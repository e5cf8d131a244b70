import { createHash } from 'node:crypto';
import { parseFragment } from 'parse5';
import { describe, expect, it } from 'vitest';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import type { FrontLanguage } from '#lib/core/bag/front/words.ts';
import type { Order } from '#lib/core/job/commands.ts';
import { pdfOfFront } from '../../../src/cli/paper.ts';
import { lampPieces, packed, wholeJob } from '../../support/a-bag.ts';
import { takenApart } from '../../support/attacker.ts';
import { readPaper } from '../../support/paper.ts';

/** Twelve by eight points of one grey, made by an image program. */
const JPEG = [
  '/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDABQODxIPDRQSEBIXFRQYHjIhHhwcHj0sLiQySUBMS0dARkVQWnNiUFVt',
  'VkVGZIhlbXd7gYKBTmCNl4x9lnN+gXz/wAALCAAIAAwBAREA/8QAFQABAQAAAAAAAAAAAAAAAAAAAAT/xAAUEAEA',
  'AAAAAAAAAAAAAAAAAAAA/9oACAEBAAA/AIh//9k=',
].join('');
const picture = new Uint8Array(Buffer.from(JPEG, 'base64'));
const digest = createHash('sha256').update(picture).digest('hex');

/** The whole job with a photo that is one. */
const pictured = JSON.parse(
  JSON.stringify(wholeJob).replaceAll(/[0-9a-f]{64}/g, digest),
) as readonly Order[];

async function bothPages(orders: readonly Order[], language: FrontLanguage, photos = true) {
  const there = [{ sha256: digest, size: picture.length, open: () => [picture] }];
  const pieces = await lampPieces(orders, { photos: photos ? there : [] });
  const bag = await packed(recordFolderFiles(pieces), { language, pdf: pdfOfFront });
  const files = await takenApart(bag);
  const html = Buffer.from(files.get('data/front.html') ?? '').toString();
  return { html, pdf: files.get('data/front.pdf') ?? new Uint8Array() };
}

interface Node {
  readonly nodeName: string;
  readonly value?: string;
  readonly childNodes?: readonly Node[];
}

/** What a reader of HTML finds on the page, by a parser that is not ours. */
function saidByHtml(html: string): string {
  const main = html.slice(html.indexOf('<main>'), html.indexOf('</main>'));
  const text = (node: Node): string =>
    node.nodeName === '#text' ? (node.value ?? '') : (node.childNodes ?? []).map(text).join('');
  return text(parseFragment(main) as unknown as Node).replaceAll(/\s+/g, '');
}

const shown = (pdf: Uint8Array): boolean => latin(pdf).includes('/Subtype /Image');
const latin = (bytes: Uint8Array): string => Buffer.from(bytes).toString('latin1');

describe.each(['en', 'es'] as const)('the front page on paper, %s', async (language) => {
  const { html, pdf } = await bothPages(pictured, language);
  const paper = await readPaper(pdf);

  it('says word for word what the page in the browser says', () => {
    expect(paper.text).toBe(saidByHtml(html));
    expect(paper.language).toBe(language);
  });

  it('answers on its first page, and has nothing else there', () => {
    const upTo = html.indexOf('<section aria-labelledby="timeline"');
    expect(paper.first).toBe(saidByHtml(`${html.slice(0, upTo)}</main>`));
    expect(paper.pages).toBeGreaterThan(1);
  });

  it('carries every typeface that it is set in, and none that a reader would have to guess', () => {
    const text = latin(pdf);
    const described = [...text.matchAll(/\/Type \/FontDescriptor/g)].length;
    expect(described).toBeGreaterThan(1);
    expect([...text.matchAll(/\/FontFile[23] \d+ 0 R/g)]).toHaveLength(described);
    expect(text.includes('/Subtype /Type1')).toBe(false);
    expect([...text.matchAll(/\/ToUnicode \d+ 0 R/g)]).toHaveLength(described);
  });
});

describe('what a person typed stays text on paper', () => {
  const hostile = [
    '<script>alert(1)</script>',
    'https://evil.example/?q=1 javascript:alert(1)',
    ') Tj ET Q (',
    '=HYPERLINK("https://evil.example")',
    '\u202Eevil\u202C \u0000\u0007\u200b',
    'ümläut ž ő 漢字 עברית 😀 Ω ≤ 5 µA',
    'a'.repeat(400),
    `${'word '.repeat(1500)}end`,
  ];

  it('whatever it is', async () => {
    const orders: readonly Order[] = [
      { ...(wholeJob[0] as Order & { command: 'open' }), site: hostile.join(' ') },
      ...wholeJob.slice(1, 3),
      ...hostile.map((what) => ({ command: 'nearMiss', what }) as const),
    ];
    const { html, pdf } = await bothPages(orders, 'en', false);
    const paper = await readPaper(pdf);
    // What no typeface has is named by its number; the page in the browser leaves that to the browser.
    // The micro sign is set as the letter that it is by origin.
    const byNumber = (text: string): string =>
      text.replaceAll(/[\u0590-\u05ff\u4e00-\u9fff]|[\u{1f600}-\u{1f64f}]/gu, (found) => {
        return `[U+${found.codePointAt(0)?.toString(16).toUpperCase().padStart(4, '0')}]`;
      });
    expect(paper.text).toBe(byNumber(saidByHtml(html)).replaceAll('\u00b5', '\u03bc'));
    expect(paper.annotations).toBe(0);
    expect(paper.scripts).toBeNull();
    expect(
      latin(pdf).match(/\/(URI|JavaScript|OpenAction|Launch|Annots|EmbeddedFile)\b/),
    ).toBeNull();
  });
});

describe('the file', () => {
  it('is the same each time', async () => {
    const [one, other] = [await bothPages(pictured, 'en'), await bothPages(pictured, 'en')];
    expect(Buffer.from(one.pdf).equals(Buffer.from(other.pdf))).toBe(true);
  });

  it('shows the photos that are in the bag, and goes on without one that does not open', async () => {
    const { pdf } = await bothPages(pictured, 'en');
    expect(shown(pdf)).toBe(true);
    const torn = await lampPieces(wholeJob);
    const bag = await packed(recordFolderFiles(torn), { pdf: pdfOfFront });
    const made = (await takenApart(bag)).get('data/front.pdf') ?? new Uint8Array();
    expect(shown(made)).toBe(false);
    expect((await readPaper(made)).text).toContain(digestOfFirst(torn.photos?.[0]?.sha256));
  });
});

const digestOfFirst = (sha256: string | undefined): string => (sha256 ?? 'none').slice(0, 12);
