/**
 * The typefaces of a paper page: every character is set in the first one that has it, and named by its
 * number where none has. Nothing that was typed is dropped.
 */
import { named, visible } from '../core/bag/front/html.ts';

/** Font files (WOFF, TTF or OTF, not variable), in the order in which they are asked for a character. */
export interface FontFiles {
  readonly regular: readonly Uint8Array[];
  readonly bold: readonly Uint8Array[];
}

/** A stretch of text in one typeface. */
export interface Stretch {
  readonly text: string;
  /** Name that the document knows the typeface by. */
  readonly face: string;
}

interface Face {
  readonly name: string;
  has(point: number): boolean;
}

/** What `pdfkit` keeps of a font, as far as it is asked here; its published types leave it out. */
interface OpenedFont {
  readonly font: { hasGlyphForCodePoint(point: number): boolean };
}

const showing =
  (character: string) =>
  ({ has }: Face): boolean =>
    has(character.codePointAt(0) ?? 0);

export class Typefaces {
  readonly #document: PDFKit.PDFDocument;
  readonly #regular: readonly Face[];
  readonly #bold: readonly Face[];
  readonly #widths = new Map<string, number>();

  constructor(document: PDFKit.PDFDocument, files: FontFiles) {
    this.#document = document;
    this.#regular = files.regular.map((bytes, at) => this.#opened(`regular-${at}`, bytes));
    this.#bold = files.bold.map((bytes, at) => this.#opened(`bold-${at}`, bytes));
  }

  #opened(name: string, bytes: Uint8Array): Face {
    this.#document.registerFont(name, bytes as Uint8Array<ArrayBuffer>);
    this.#document.font(name);
    const { font } = (this.#document as unknown as { _font: OpenedFont })._font;
    return { name, has: (point) => font.hasGlyphForCodePoint(point) };
  }

  /** Text as stretches of one typeface each. */
  set(text: string, bold: boolean): Stretch[] {
    const faces = bold ? this.#bold : this.#regular;
    const sets: { text: string; face: string }[] = [];
    const put = (piece: string, face: string): void => {
      const last = sets.at(-1);
      if (last?.face === face) last.text += piece;
      else sets.push({ text: piece, face });
    };
    const first = faces[0]?.name ?? '';
    for (const character of visible(text)) {
      // A sign that is another letter by origin (micro, ohm) is set as that letter where it has no own shape.
      const set = [character, character.normalize('NFKC')]
        .filter((one) => [...one].length === 1)
        .flatMap((one) => faces.filter(showing(one)).map(({ name }) => ({ one, name })))[0];
      put(set?.one ?? named(character), set?.name ?? first);
    }
    return sets;
  }

  /** Points that a stretch takes at a size in points. */
  width({ text, face }: Stretch, size: number): number {
    const key = `${face} ${text}`;
    let unit = this.#widths.get(key);
    if (unit === undefined) {
      unit = this.#document.font(face).fontSize(100).widthOfString(text) / 100;
      this.#widths.set(key, unit);
    }
    return unit * size;
  }
}
