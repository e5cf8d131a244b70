/** Tables on paper: how wide each column is, and a row of cells. */
import type { Content } from '../core/bag/front/html.ts';
import { blocksOf, runsOf } from './blocks.ts';
import { stripsOf, within } from './strips.ts';
import type { Column, Ground, Row, Tag } from './strips.ts';

const PAD = 3;

interface Table {
  readonly heads: readonly Content[];
  readonly rows: readonly (readonly Content[])[];
}

/** No column is looked at beyond this many rows: the widths are a matter of looks. */
const LOOKED_AT = 200;

/**
 * Widths that fill `width`: every column gets its longest word where that is possible, and shares the
 * rest by how much it has to say.
 */
export function widthsOf(ground: Ground, { heads, rows }: Table, width: number): number[] {
  const looked = rows.slice(0, LOOKED_AT);
  const wants = heads.map((head, at) => {
    const texts = [textOf(head), ...looked.map((row) => textOf(row[at] ?? ''))];
    const words = texts.flatMap((text) => text.split(/\s+/)).map((word) => wide(ground, word));
    const least = Math.min(Math.max(...words) + 2 * PAD + 1, width / 3);
    const whole = Math.max(...texts.map((text) => wide(ground, text))) + 2 * PAD;
    return { least, more: Math.max(0, Math.min(whole, width) - least) };
  });
  const least = wants.reduce((sum, one) => sum + one.least, 0);
  if (least >= width) return wants.map((one) => (one.least / least) * width);
  const more = wants.reduce((sum, one) => sum + one.more, 0);
  const share = more === 0 ? 0 : Math.min(1, (width - least) / more);
  const taken = wants.map((one) => one.least + one.more * share);
  const left = width - taken.reduce((sum, one) => sum + one, 0);
  return taken.map((one) => one + left / taken.length);
}

function wide({ faces, size }: Ground, text: string): number {
  return faces.set(text, true).reduce((sum, one) => sum + faces.width(one, size), 0);
}

function textOf(content: Content): string {
  return runsOf(content)
    .map((run) => ('text' in run ? run.text : ''))
    .join('');
}

export function tableRow(
  ground: Ground,
  cells: readonly Content[],
  left: number,
  widths: readonly number[],
  row: Tag,
  heads: boolean,
): Row {
  let x = left;
  const columns = widths.map((width, at): Column => {
    const tag = within(ground, row, heads ? 'TH' : 'TD');
    const inner = width - 2 * PAD;
    const strips = blocksOf(cells[at] ?? '').flatMap((block) =>
      stripsOf(ground, block, inner, tag, heads),
    );
    const column = { x: x + PAD, width: inner, strips };
    x += width;
    return column;
  });
  return { columns, frame: 'cells', pad: PAD, leads: false };
}
