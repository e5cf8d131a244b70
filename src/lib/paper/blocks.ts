/** The content of a front page as blocks and runs: what a page of paper is laid out from. */
import { Html } from '../core/bag/front/html.ts';
import type { Content, Element } from '../core/bag/front/html.ts';

/** Text in one weight, or a small drawing that stands in a line. */
export type Run =
  | { readonly text: string; readonly bold: boolean; readonly small: boolean }
  | { readonly drawing: Element };

export type Block =
  | { readonly kind: 'text'; readonly runs: readonly Run[]; readonly look: Look }
  | { readonly kind: 'heading'; readonly level: 1 | 2; readonly runs: readonly Run[] }
  | {
      readonly kind: 'items';
      readonly signs: readonly string[];
      readonly items: readonly Content[];
    }
  | { readonly kind: 'answers'; readonly pairs: readonly (readonly [Content, Content])[] }
  | {
      readonly kind: 'table';
      readonly heads: readonly Content[];
      readonly rows: readonly (readonly Content[])[];
    }
  | { readonly kind: 'picture'; readonly file: string; readonly alt: string }
  | { readonly kind: 'drawing'; readonly element: Element };

/** How a paragraph stands: plainly, in a frame, or over a line to be written on. */
export type Look = 'plain' | 'framed' | 'lined';

const INLINE: ReadonlySet<string> = new Set(['strong', 'small', 'code', 'bdi', 'time']);
const GROUPS: ReadonlySet<string> = new Set(['header', 'section', 'figure', 'div', 'main']);

/** The sections of a page, each by itself: one that is none is a section of its own. */
export function sectionsOf(content: Content): Content[] {
  return flat(content);
}

export function blocksOf(content: Content, look: Look = 'plain'): Block[] {
  const blocks: Block[] = [];
  let runs: Run[] = [];
  const flush = (): void => {
    if (runs.some((run) => !('text' in run) || run.text.trim() !== '')) {
      blocks.push({ kind: 'text', runs, look });
    }
    runs = [];
  };
  for (const part of flat(content)) {
    const block =
      part instanceof Html && part.element !== null ? blockOf(part.element, look) : null;
    if (block === null) {
      runs.push(...runsOf(part));
    } else {
      flush();
      blocks.push(...block);
    }
  }
  flush();
  return blocks;
}

/** The blocks of an element; null for one that stands in a line. */
function blockOf(element: Element, look: Look): Block[] | null {
  const { name, attributes, content } = element;
  switch (name) {
    case 'h1':
    case 'h2':
      return [{ kind: 'heading', level: name === 'h1' ? 1 : 2, runs: runsOf(content) }];
    case 'p':
      return [
        {
          kind: 'text',
          runs: runsOf(content),
          look: attributes['class'] === 'demo' ? 'framed' : look,
        },
      ];
    case 'figcaption':
      return [{ kind: 'text', runs: runsOf(content), look }];
    case 'ul':
    case 'ol': {
      const items = children(element).map((item) => item.content);
      const signs = items.map((_, at) => (name === 'ol' ? `${at + 1}.` : '•'));
      const bare = attributes['class'] === 'legend' || attributes['class'] === 'photos';
      return [{ kind: 'items', signs: bare ? items.map(() => '') : signs, items }];
    }
    case 'dl':
      return [
        {
          kind: 'answers',
          pairs: children(element).map((pair) => {
            const [question, answer] = children(pair);
            return [question?.content ?? '', answer?.content ?? ''];
          }),
        },
      ];
    case 'table':
      return tableOf(element);
    case 'img':
      return [
        {
          kind: 'picture',
          file: String(attributes['src'] ?? ''),
          alt: String(attributes['alt'] ?? ''),
        },
      ];
    case 'svg':
      return attributes['role'] === 'img' ? [{ kind: 'drawing', element }] : null;
    default: {
      if (INLINE.has(name)) return null;
      if (!GROUPS.has(name)) throw new TypeError(`A paper page has no way to show <${name}>.`);
      return blocksOf(content, attributes['class'] === 'form' ? 'lined' : look);
    }
  }
}

function tableOf(element: Element): Block[] {
  const parts = children(element);
  const caption = parts.find(({ name }) => name === 'caption');
  const cells = (name: string): Content[][] =>
    parts
      .filter((part) => part.name === name)
      .flatMap((part) => children(part).map((row) => children(row).map((cell) => cell.content)));
  const title: Block[] =
    caption === undefined
      ? []
      : [
          {
            kind: 'text',
            runs: runsOf(caption.content, { bold: true, small: false }),
            look: 'plain',
          },
        ];
  return [...title, { kind: 'table', heads: cells('thead')[0] ?? [], rows: cells('tbody') }];
}

interface Weight {
  readonly bold: boolean;
  readonly small: boolean;
}

/** Everything in a piece of content as one line of runs. */
export function runsOf(content: Content, weight: Weight = { bold: false, small: false }): Run[] {
  return flat(content).flatMap((part): Run[] => {
    if (!(part instanceof Html)) {
      const text = part === null || Array.isArray(part) ? '' : String(part as string | number);
      return text === '' ? [] : [{ text, ...weight }];
    }
    if (part.element === null) return [];
    if (part.element.name === 'svg') return [{ drawing: part.element }];
    return runsOf(part.element.content, {
      bold: weight.bold || part.element.name === 'strong',
      small: weight.small || part.element.name === 'small',
    });
  });
}

/** Nested lists of content as one. */
function flat(content: Content): Content[] {
  return Array.isArray(content)
    ? content.flatMap((one) => flat(one as Content))
    : [content as Content];
}

/** The elements directly inside. */
export function children(element: Element): Element[] {
  return flat(element.content).flatMap((part) =>
    part instanceof Html && part.element !== null ? [part.element] : [],
  );
}

/** Files of all pictures in a piece of content. */
export function picturesIn(content: Content): string[] {
  return flat(content).flatMap((part) => {
    if (!(part instanceof Html) || part.element === null) return [];
    const { name, attributes, content: inside } = part.element;
    return name === 'img' ? [String(attributes['src'] ?? '')] : picturesIn(inside);
  });
}
