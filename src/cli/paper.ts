/** The front page on paper, with the typefaces that come with the packages. */
import type { BagOptions } from '../lib/core/bag/write-bag.ts';
import { facesOnDisk } from '../lib/paper/faces-on-disk.ts';
import { frontPdf } from '../lib/paper/front-pdf.ts';

/** For `writeBag`. */
export const pdfOfFront: Required<BagOptions>['pdf'] = (input, photo) =>
  frontPdf(input, facesOnDisk(), photo);
