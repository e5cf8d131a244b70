/**
 * The front page as a PDF: the same words in the same order as the HTML page, because both are made
 * from the same content. Text can be selected, typefaces are embedded, nothing is a link.
 *
 * The same input gives the same bytes: the day in the file is that of the last entry.
 */
import PDFDocument from 'pdfkit';
import type { FrontInput } from '../core/bag/front/front-input.ts';
import { frontContent } from '../core/bag/front/front-page.ts';
import type { Content } from '../core/bag/front/html.ts';
import { picturesIn, sectionsOf } from './blocks.ts';
import { heightOf, PAGE, ROOM, Sheets } from './sheet-of-paper.ts';
import { rowsOf, within } from './strips.ts';
import type { Ground, Row, Tag } from './strips.ts';
import { Typefaces } from './typefaces.ts';
import type { FontFiles } from './typefaces.ts';

/** Bytes of a photo by its digest, while the bag has it. */
export type PhotoBytes = (sha256: string) => Promise<Uint8Array | null>;

/** Bytes of pictures that one PDF takes; those beyond stand in the bag beside it and are named. */
export const MOST_PICTURES = 24 * 1024 * 1024;

/** Points of text, the largest first: the first with which the answers fit on the first page. */
const SIZES = [10, 9.5, 9, 8.5, 8] as const;

export function frontPdf(
  input: FrontInput,
  fonts: FontFiles,
  photo: PhotoBytes,
): Promise<Uint8Array> {
  const { title, sections } = frontContent(input);
  const at = new Date(input.sealed.at(-1)?.entry.at ?? 0);
  const foot = input.sealed[0]?.entry.job ?? '';
  return contentPdf({ title, sections, language: input.language, at, foot }, fonts, photo);
}

export interface Printed {
  readonly title: string;
  readonly sections: Content;
  readonly language: string;
  /** The day in the file. */
  readonly at: Date;
  /** At the foot of every page. */
  readonly foot: string;
}

/** Any page of ours on paper; the first two sections stand on a sheet of their own where they fit. */
export async function contentPdf(
  { title, sections, language, at, foot }: Printed,
  fonts: FontFiles,
  photo: PhotoBytes = () => Promise.resolve(null),
): Promise<Uint8Array> {
  const document = new PDFDocument({
    size: [PAGE.width, PAGE.height],
    margin: 0,
    autoFirstPage: false,
    bufferPages: true,
    font: '',
    pdfVersion: '1.7',
    tagged: true,
    displayTitle: true,
    lang: language,
    info: { Title: title, Creator: 'Stillwire', Producer: 'Stillwire', CreationDate: at },
  });
  const bytes = collected(document);
  const faces = new Typefaces(document, fonts);
  const pictures = await picturesOf(sections, photo);
  draw({ document, faces, pictures }, sectionsOf(sections));
  numbered(document, faces, foot);
  document.end();
  return bytes;
}

type Tools = Omit<Ground, 'size'>;

function draw(tools: Tools, sections: readonly Content[]): void {
  const { document } = tools;
  document.addPage();
  const sheets = new Sheets(document);
  const root = document.struct('Document');
  document.addStructure(root);
  // The head and the answers are the first two; they are tried in each size until they fit on a page.
  const trial = (size: number): Row[] =>
    laidOut({ ...tools, size, rehearsed: true }, sections.slice(0, 2), root);
  const size =
    SIZES.find((one) => trial(one).reduce((sum, row) => sum + heightOf(row), 0) <= ROOM) ?? 9;
  const first = within(tools, root, 'Sect');
  sheets.put(laidOut({ ...tools, size }, sections.slice(0, 2), first));
  if (sections.length > 2) sheets.turn();
  for (const section of sections.slice(2)) {
    sheets.put(laidOut({ ...tools, size: 9.5 }, [section], within(tools, root, 'Sect')));
  }
}

function laidOut(ground: Ground, sections: readonly Content[], parent: Tag): Row[] {
  return sections.flatMap((section) =>
    rowsOf(ground, section, PAGE.margin, PAGE.width - 2 * PAGE.margin, parent),
  );
}

async function picturesOf(content: Content, photo: PhotoBytes): Promise<Map<string, Uint8Array>> {
  const pictures = new Map<string, Uint8Array>();
  let taken = 0;
  for (const file of new Set(picturesIn(content))) {
    const sha256 = /([0-9a-f]{64})\.jpg$/.exec(file)?.[1];
    const bytes = sha256 === undefined ? null : await photo(sha256);
    if (bytes === null || taken + bytes.length > MOST_PICTURES) continue;
    taken += bytes.length;
    pictures.set(file, bytes);
  }
  return pictures;
}

/** Page n of m and whose page it is, at the foot; no part of what the page says. */
function numbered(document: PDFKit.PDFDocument, faces: Typefaces, foot: string): void {
  const { start, count } = document.bufferedPageRange();
  for (let at = 0; at < count; at += 1) {
    document.switchToPage(start + at);
    document.markContent('Artifact', { type: 'Pagination' });
    let x: number = PAGE.margin;
    for (const one of faces.set(`${foot}   ${at + 1} / ${count}`, false)) {
      document.font(one.face).fontSize(8).fillColor('#4a4a4a');
      document.text(one.text, x, PAGE.height - 34, { lineBreak: false, baseline: 'alphabetic' });
      x += faces.width(one, 8);
    }
    document.endMarkedContent();
  }
}

function collected(document: PDFKit.PDFDocument): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  return new Promise((resolve, reject) => {
    document.on('data', (part: Uint8Array) => parts.push(part));
    document.on('error', reject);
    document.on('end', () => {
      const whole = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
      let at = 0;
      for (const part of parts) {
        whole.set(part, at);
        at += part.length;
      }
      resolve(whole);
    });
  });
}
