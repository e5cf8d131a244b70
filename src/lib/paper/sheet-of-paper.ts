/** Puts rows on pages, one below the other, and breaks what is longer than a page. */
import type { Column, Row, Strip } from './strips.ts';

export const PAGE = { width: 612, height: 792, margin: 50 } as const;
export const ROOM = PAGE.height - 2 * PAGE.margin - 14;

const INK = '#1a1a1a';
const RULE = '#8a8a8a';

export function heightOf(row: Row): number {
  return Math.max(0, ...row.columns.map(({ strips }) => tall(strips))) + 2 * row.pad;
}

const tall = (strips: readonly Strip[]): number =>
  strips.reduce((sum, { height }) => sum + height, 0);

export class Sheets {
  readonly #document: PDFKit.PDFDocument;
  #y: number = PAGE.margin;

  constructor(document: PDFKit.PDFDocument) {
    this.#document = document;
  }

  turn(): void {
    this.#document.addPage();
    this.#y = PAGE.margin;
  }

  get #left(): number {
    return PAGE.margin + ROOM - this.#y;
  }

  put(rows: readonly Row[]): void {
    rows.forEach((row, at) => {
      const next = rows[at + 1];
      const room =
        heightOf(row) + (row.leads && next !== undefined ? Math.min(heightOf(next), ROOM / 4) : 0);
      if (room > this.#left && this.#y > PAGE.margin && (row.leads || heightOf(row) <= ROOM)) {
        this.turn();
        this.#again(row.head);
      }
      this.#place(row);
    });
  }

  /** The head of a table on a page that it goes on to: not told twice to who has the page read aloud. */
  #again(head: Row | undefined): void {
    if (head === undefined) return;
    this.#document.markContent('Artifact', { type: 'Pagination' });
    for (const { x, strips } of head.columns) {
      let y = this.#y + head.pad;
      for (const strip of strips) {
        strip.draw(x, y);
        y += strip.height;
      }
    }
    this.#document.endMarkedContent();
    this.#frame(head, head.columns, heightOf(head));
    this.#y += heightOf(head);
  }

  #place(row: Row): void {
    let rest: readonly Column[] = row.columns;
    for (;;) {
      const space = this.#left - 2 * row.pad;
      const parts = rest.map(({ strips }) => fitting(strips, space));
      const stuck =
        parts.every((part) => part === 0) && rest.some(({ strips }) => strips.length > 0);
      // A strip that is higher than a whole page is drawn over its edge rather than never.
      const whole = stuck && this.#y === PAGE.margin ? rest.map(() => 1) : parts;
      if (stuck && this.#y > PAGE.margin) {
        this.turn();
        this.#again(row.head);
        continue;
      }
      const now = rest.map((column, at) => ({
        ...column,
        strips: column.strips.slice(0, whole[at]),
      }));
      for (const column of now) this.#draw(column, row.pad);
      const height = Math.max(...now.map(({ strips }) => tall(strips))) + 2 * row.pad;
      this.#frame(row, now, height);
      this.#y += height;
      rest = rest.map((column, at) => ({ ...column, strips: column.strips.slice(whole[at]) }));
      if (rest.every(({ strips }) => strips.length === 0)) return;
      this.turn();
      this.#again(row.head);
    }
  }

  #draw({ x, strips }: Column, pad: number): void {
    let y = this.#y + pad;
    for (const strip of strips) {
      strip.tag.add(this.#document.markStructureContent(strip.mark ?? 'Span'));
      strip.draw(x, y);
      this.#document.endMarkedContent();
      y += strip.height;
    }
  }

  #frame(row: Row, columns: readonly Column[], height: number): void {
    if (row.frame === 'none') return;
    const document = this.#document;
    document.markContent('Artifact', { type: 'Layout' });
    const [first, last] = [columns[0], columns.at(-1)];
    if (first !== undefined && last !== undefined) {
      const right = last.x + last.width;
      if (row.frame === 'under') {
        const y = this.#y + height;
        document
          .moveTo(first.x, y)
          .lineTo(right, y)
          .lineWidth(0.7)
          .stroke(row.leads ? INK : RULE);
      } else if (row.frame === 'box') {
        document
          .rect(first.x - 4, this.#y, right - first.x + 8, height)
          .lineWidth(2)
          .stroke(INK);
      } else {
        for (const { x, width } of columns) {
          document
            .rect(x - row.pad, this.#y, width + 2 * row.pad, height)
            .lineWidth(0.5)
            .stroke(RULE);
        }
      }
    }
    document.endMarkedContent();
  }
}

/** How many strips from the beginning fit in a height. */
function fitting(strips: readonly Strip[], space: number): number {
  let used = 0;
  let count = 0;
  for (const { height } of strips) {
    used += height;
    if (used > space) return count;
    count += 1;
  }
  return count;
}
