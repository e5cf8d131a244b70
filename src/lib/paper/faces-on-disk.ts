/** The typefaces of a paper page, from the packages that they come with; where there is a disk. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { FontFiles } from './typefaces.ts';

const FACE = '@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next';
const MATH = '@fontsource/noto-sans-math/files/noto-sans-math-latin-400-normal.woff';

export function facesOnDisk(): FontFiles {
  const read = (name: string): Uint8Array =>
    new Uint8Array(readFileSync(fileURLToPath(import.meta.resolve(name))));
  const faces = (weight: number): Uint8Array[] =>
    [`${FACE}-latin-${weight}-normal.woff`, `${FACE}-latin-ext-${weight}-normal.woff`, MATH].map(
      read,
    );
  return { regular: faces(400), bold: faces(700) };
}
