/** The few shapes of the timeline, drawn as the page draws them. */
import type { Element } from '../core/bag/front/html.ts';
import { children, runsOf } from './blocks.ts';
import type { Typefaces } from './typefaces.ts';

const HATCH: Readonly<Record<string, { readonly ink: string; readonly paper: string }>> = {
  'url(#hatch-window)': { ink: '#b3261e', paper: '#ffd7d3' },
  'url(#hatch-unknown)': { ink: '#5a5a5a', paper: '#e4e4e4' },
};

/** Width over height, of a drawing with a view box. */
export function shapeOf(element: Element): number {
  const [, , width = 1, height = 1] = String(element.attributes['viewBox']).split(' ').map(Number);
  return width / height;
}

/** Draws with the upper left corner at a place, `width` points wide. */
export function drawShapes(
  document: PDFKit.PDFDocument,
  faces: Typefaces,
  element: Element,
  place: { readonly x: number; readonly y: number; readonly width: number },
): void {
  const [, , units = 1] = String(element.attributes['viewBox']).split(' ').map(Number);
  document.save();
  document.translate(place.x, place.y).scale(place.width / units);
  for (const shape of children(element)) drawShape(document, faces, shape);
  document.restore();
}

function drawShape(document: PDFKit.PDFDocument, faces: Typefaces, shape: Element): void {
  const { name, attributes } = shape;
  const number = (key: string): number => Number(attributes[key] ?? 0);
  document.lineWidth(number('stroke-width') || 1);
  switch (name) {
    case 'rect': {
      const box = [number('x'), number('y'), number('width'), number('height')] as const;
      fillBox(document, box, String(attributes['fill']));
      document.rect(...box).stroke(String(attributes['stroke'] ?? '#222222'));
      return;
    }
    case 'line':
      document
        .moveTo(number('x1'), number('y1'))
        .lineTo(number('x2'), number('y2'))
        .stroke(String(attributes['stroke']));
      return;
    case 'path':
      document.path(String(attributes['d'])).stroke(String(attributes['stroke']));
      return;
    case 'polygon': {
      const points = String(attributes['points'])
        .split(' ')
        .map((point) => point.split(',').map(Number) as [number, number]);
      document
        .polygon(...points)
        .fillAndStroke(String(attributes['fill']), String(attributes['stroke']));
      return;
    }
    case 'text':
      drawText(document, faces, shape);
      return;
    default:
  }
}

type Box = readonly [x: number, y: number, width: number, height: number];

function fillBox(document: PDFKit.PDFDocument, box: Box, fill: string): void {
  const hatch = HATCH[fill];
  if (hatch === undefined) {
    document.rect(...box).fill(fill);
    return;
  }
  const [x, y, width, height] = box;
  document.rect(...box).fill(hatch.paper);
  document.save();
  document.rect(...box).clip();
  for (let at = x - height; at < x + width; at += 8) {
    document.moveTo(at, y + height).lineTo(at + height, y);
  }
  document.lineWidth(3).stroke(hatch.ink);
  document.restore();
}

function drawText(document: PDFKit.PDFDocument, faces: Typefaces, shape: Element): void {
  const { attributes, content } = shape;
  const size = Number(attributes['font-size'] ?? 12);
  const text = runsOf(content)
    .map((run) => ('text' in run ? run.text : ''))
    .join('');
  const sets = faces.set(text, false);
  const wide = sets.reduce((sum, one) => sum + faces.width(one, size), 0);
  let x = Number(attributes['x'] ?? 0) - (attributes['text-anchor'] === 'end' ? wide : 0);
  for (const one of sets) {
    const y = Number(attributes['y'] ?? 0);
    document.font(one.face).fontSize(size).fillColor('#1a1a1a');
    document.text(one.text, x, y, { lineBreak: false, baseline: 'alphabetic' });
    x += faces.width(one, size);
  }
}
