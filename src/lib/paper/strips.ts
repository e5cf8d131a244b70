/**
 * Blocks laid out in columns. A column is a list of strips, each drawn whole; a row is columns side by
 * side, and may be broken between strips when it is longer than a page.
 */
import type { Element, Content } from '../core/bag/front/html.ts';
import { blocksOf } from './blocks.ts';
import type { Block, Look } from './blocks.ts';
import { drawShapes, shapeOf } from './drawing.ts';
import { linesOf } from './lines.ts';
import type { Line } from './lines.ts';
import { tableRow, widthsOf } from './columns.ts';
import type { Typefaces } from './typefaces.ts';

/** What is drawn whole. `tag` is what it is for who has the page read aloud. */
export interface Strip {
  readonly height: number;
  readonly tag: Tag;
  /** What kind of content it is; `Span` when absent. */
  readonly mark?: 'Lbl';
  readonly draw: (x: number, y: number) => void;
}

export interface Column {
  readonly x: number;
  readonly width: number;
  readonly strips: readonly Strip[];
}

export interface Row {
  readonly columns: readonly Column[];
  readonly frame: 'none' | 'cells' | 'under' | 'box';
  /** Points of room around, within the frame. */
  readonly pad: number;
  /** Must not be the last thing on a page. */
  readonly leads: boolean;
  /** Drawn again at the head of each page that the rows after it reach. */
  readonly head?: Row;
}

export interface Ground {
  readonly document: PDFKit.PDFDocument;
  readonly faces: Typefaces;
  /** Points of plain text. */
  readonly size: number;
  /** Bytes of the pictures that there is room for. */
  readonly pictures: ReadonlyMap<string, Uint8Array>;
  /** Laid out to be measured only: the file must not hear of it, it would wait for what never comes. */
  readonly rehearsed?: boolean;
}

/** A part of the page as it is told to who has it read aloud. */
export type Tag = Pick<PDFKit.PDFStructureElement, 'add'>;

const LEADING = 1.3;
const PICTURE = 130;

/** Content as rows over a width. */
export function rowsOf(
  ground: Ground,
  content: Content,
  x: number,
  width: number,
  parent: Tag,
): Row[] {
  return blocksOf(content).flatMap((block) => blockRows(ground, block, { x, width }, parent));
}

interface Room {
  readonly x: number;
  readonly width: number;
}

function blockRows(ground: Ground, block: Block, room: Room, parent: Tag): Row[] {
  const plain = { frame: 'none', pad: 2, leads: false } as const;
  switch (block.kind) {
    case 'items': {
      const list = within(ground, parent, 'L');
      return block.items.map((item, at): Row => {
        const tag = within(ground, list, 'LI');
        return {
          ...plain,
          pad: 1,
          columns: itemColumns(ground, block.signs[at] ?? '', item, room, tag),
        };
      });
    }
    case 'answers':
      return block.pairs.map(([question, answer]): Row => {
        const first = Math.min(110, room.width / 4);
        const rest = { x: room.x + first + 8, width: room.width - first - 8 };
        const tag = within(ground, parent, 'Div');
        const asked = blocksOf(question).flatMap((one) =>
          stripsOf({ ...ground }, one, first, within(ground, tag, 'P'), true),
        );
        const told = within(ground, tag, 'Div');
        const strips = blocksOf(answer).flatMap((one) => stripsOf(ground, one, rest.width, told));
        return {
          frame: 'under',
          pad: 2.5,
          leads: false,
          columns: [
            { x: room.x, width: first, strips: asked },
            { ...rest, strips },
          ],
        };
      });
    case 'table': {
      const table = within(ground, parent, 'Table');
      const small = { ...ground, size: ground.size * 0.88 };
      const widths = widthsOf(small, block, room.width);
      const head = tableRow(small, block.heads, room.x, widths, within(ground, table, 'TR'), true);
      const rows = block.rows.map((row): Row => {
        const tag = within(ground, table, 'TR');
        return { ...tableRow(small, row, room.x, widths, tag, false), head };
      });
      return [{ ...head, leads: true }, ...rows];
    }
    case 'heading': {
      const strips = stripsOf(ground, block, room.width, within(ground, parent, `H${block.level}`));
      const frame = block.level === 2 ? 'under' : 'none';
      return [{ frame, pad: 4, leads: true, columns: [{ ...room, strips }] }];
    }
    default: {
      const strips = stripsOf(ground, block, room.width, parent);
      const framed = block.kind === 'text' && block.look === 'framed';
      return [
        { ...plain, ...(framed ? { frame: 'box', pad: 5 } : {}), columns: [{ ...room, strips }] },
      ];
    }
  }
}

function itemColumns(ground: Ground, sign: string, item: Content, room: Room, tag: Tag): Column[] {
  const indent = sign === '' ? 0 : ground.size * (sign.length > 2 ? 2.2 : 1.2);
  const inner = { x: room.x + indent, width: room.width - indent };
  const body = within(ground, tag, 'LBody');
  const strips = blocksOf(item).flatMap((one) => stripsOf(ground, one, inner.width, body));
  if (sign === '') return [{ ...inner, strips }];
  const label = lines(
    ground,
    [{ text: sign, bold: false, small: false }],
    indent,
    within(ground, tag, 'Lbl'),
  );
  return [
    {
      x: room.x,
      width: indent,
      strips: label.map((strip) => ({ ...strip, mark: 'Lbl' as const })),
    },
    { ...inner, strips },
  ];
}

/** One block in a column; `bold` for the heads of tables and of answers. */
export function stripsOf(
  ground: Ground,
  block: Block,
  width: number,
  parent: Tag,
  bold = false,
): Strip[] {
  switch (block.kind) {
    case 'heading': {
      const size = block.level === 1 ? ground.size * 1.7 : ground.size * 1.25;
      return lines({ ...ground, size }, block.runs, width, parent, { bold: true });
    }
    case 'text':
      return lines(ground, block.runs, width, within(ground, parent, 'P'), {
        bold: bold || block.look === 'framed',
        look: block.look,
      });
    case 'picture':
      return [pictureStrip(ground, block, width, parent)];
    case 'drawing':
      return [drawingStrip(ground, block.element, width, parent)];
    case 'items': {
      const list = within(ground, parent, 'L');
      return block.items.flatMap((item, at) => {
        const tag = within(ground, list, 'LI');
        const sign = block.signs[at] ?? '';
        return sideBySide(itemColumns(ground, sign, item, { x: 0, width }, tag));
      });
    }
    default:
      throw new TypeError(`A paper page has no way to show ${block.kind} within a column.`);
  }
}

/** The strips of columns as those of one: each pair of the same place is drawn together. */
function sideBySide(columns: readonly Column[]): Strip[] {
  const length = Math.max(...columns.map(({ strips }) => strips.length));
  return Array.from({ length }, (_, at): Strip[] =>
    columns.flatMap(({ x, strips }): Strip[] => {
      const strip = strips[at];
      if (strip === undefined) return [];
      return [{ ...strip, draw: (left, top) => strip.draw(left + x, top) }];
    }),
  ).flatMap((level) => {
    const last = level.length - 1;
    // Only the last of a level moves down; the sign of an item stands beside its first line.
    return level.map((strip, at) => (at === last ? strip : { ...strip, height: 0 }));
  });
}

function lines(
  ground: Ground,
  runs: Parameters<typeof linesOf>[0],
  width: number,
  tag: Tag,
  { bold = false, look = 'plain' }: { bold?: boolean; look?: Look } = {},
): Strip[] {
  const { size, faces } = ground;
  const high = size * (look === 'lined' ? 2.6 : LEADING);
  return linesOf(runs, { width, size, bold }, faces).map((line): Strip => {
    return {
      height: high,
      tag,
      draw: (x, y) => {
        drawLine(ground, line, x, y + (look === 'lined' ? size : 0));
        if (look !== 'lined') return;
        const under = y + high - 1;
        ground.document
          .moveTo(x, under)
          .lineTo(x + width, under)
          .lineWidth(0.7)
          .stroke('#1a1a1a');
      },
    };
  });
}

function drawLine({ document, faces, size }: Ground, line: Line, x: number, y: number): void {
  for (const piece of line.pieces) {
    if ('drawing' in piece) {
      drawShapes(document, faces, piece.drawing, { x: x + piece.x, y: y + 1, width: 18 });
      continue;
    }
    document.font(piece.face).fontSize(piece.size).fillColor('#1a1a1a');
    document.text(piece.text, x + piece.x, y + size, { lineBreak: false, baseline: 'alphabetic' });
  }
}

function pictureStrip(
  ground: Ground,
  { file, alt }: { file: string; alt: string },
  width: number,
  parent: Tag,
): Strip {
  const tag = within(ground, parent, 'Figure', alt);
  const { document, pictures } = ground;
  const bytes = pictures.get(file);
  const image = bytes === undefined ? null : opened(document, bytes);
  // One that does not open stands in the bag all the same; its digest is in the words below.
  if (image === null) return { height: 0, tag, draw: () => undefined };
  const wide = Math.min(PICTURE, width);
  const scale = Math.min(wide / image.width, (PICTURE * 1.3) / image.height);
  return {
    height: image.height * scale + 3,
    tag,
    draw: (x, y) => void document.image(image, x, y + 2, { width: image.width * scale }),
  };
}

interface Picture {
  readonly width: number;
  readonly height: number;
}

function opened(
  document: PDFKit.PDFDocument,
  bytes: Uint8Array,
): (Picture & PDFKit.Mixins.ImageSrc) | null {
  try {
    // A copy of its own: what comes out of a store may share its memory with other things.
    const own = bytes.slice().buffer;
    return (
      document as unknown as { openImage(bytes: ArrayBuffer): Picture & ArrayBuffer }
    ).openImage(own);
  } catch {
    return null;
  }
}

function drawingStrip(ground: Ground, element: Element, width: number, parent: Tag): Strip {
  const tag = within(ground, parent, 'Figure', String(element.attributes['aria-label'] ?? ''));
  const { document, faces } = ground;
  return {
    height: width / shapeOf(element) + 4,
    tag,
    draw: (x, y) => drawShapes(document, faces, element, { x, y: y + 2, width }),
  };
}

const UNHEARD: Tag = { add: () => undefined as never };

export function within(
  { document, rehearsed }: Pick<Ground, 'document' | 'rehearsed'>,
  parent: Tag,
  type: string,
  alt?: string,
): Tag {
  if (rehearsed === true) return UNHEARD;
  const tag = document.struct(type, alt === undefined ? {} : { alt });
  parent.add(tag);
  return tag;
}
