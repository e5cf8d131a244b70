/** Reads a PDF with a library that is not the one that makes it. */
import { getDocumentProxy } from 'unpdf';

interface Marked {
  readonly type: string;
  readonly tag?: string;
}

export interface PaperRead {
  readonly pages: number;
  /** Text without white space: what stands on the page, without page numbers, repeated heads and the signs of items. */
  readonly text: string;
  /** The same of the first page. */
  readonly first: string;
  readonly annotations: number;
  readonly scripts: unknown;
  readonly language: string | undefined;
}

const NOT_SAID: ReadonlySet<string> = new Set(['Artifact', 'Lbl']);

export async function readPaper(bytes: Uint8Array): Promise<PaperRead> {
  const pdf = await getDocumentProxy(bytes.slice());
  const texts: string[] = [];
  let annotations = 0;
  for (let number = 1; number <= pdf.numPages; number += 1) {
    const page = await pdf.getPage(number);
    const content = await page.getTextContent({
      includeMarkedContent: true,
      disableNormalization: true,
    });
    texts.push(saidIn(content.items));
    annotations += (await page.getAnnotations()).length;
  }
  const meta = (await pdf.getMetadata()).info as { readonly Language?: string };
  const [first = ''] = texts;
  return {
    pages: pdf.numPages,
    text: texts.join(''),
    first,
    annotations,
    scripts: await pdf.getJSActions(),
    language: meta.Language,
  };
}

function saidIn(items: readonly (Marked | { readonly str: string })[]): string {
  const within: (string | undefined)[] = [];
  let said = '';
  for (const item of items) {
    if ('str' in item) {
      if (!within.some((tag) => NOT_SAID.has(tag ?? ''))) said += item.str;
    } else if (item.type.startsWith('begin')) {
      within.push(item.tag);
    } else {
      within.pop();
    }
  }
  return said.replaceAll(/\s+/g, '');
}
