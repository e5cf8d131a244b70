/** The front page on paper, with the typefaces that come with the packages. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { BagOptions } from '../lib/core/bag/write-bag.ts';
import { frontPdf } from '../lib/paper/front-pdf.ts';

const FACE = '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next';
const MATH = '@fontsource/noto-sans-math/files/noto-sans-math-latin-400-normal.woff';

function fonts(): Parameters<typeof frontPdf>[1] {
  const read = (name: string): Uint8Array =>
    new Uint8Array(readFileSync(fileURLToPath(import.meta.resolve(name))));
  const faces = (weight: number): Uint8Array[] =>
    [`${FACE}-latin-${weight}-normal.woff`, `${FACE}-latin-ext-${weight}-normal.woff`, MATH].map(
      read,
    );
  return { regular: faces(400), bold: faces(700) };
}

/** For `writeBag`. */
export const pdfOfFront: Required<BagOptions>['pdf'] = (input, photo) =>
  frontPdf(input, fonts(), photo);
