/** The sign of each kind of energy: one path in a square of 32, drawn as a line. */
import type { SourceKind } from '#lib/core/checklist/model.ts';

export const energyShapes: Readonly<Record<SourceKind, string>> = {
  electrical: 'M17 4L10 17H17L13 28',
  charge: 'M2 16H13M13 6V26M19 6V26M19 16H30',
  thermal: 'M12 20V7a4 4 0 0 1 8 0v13a6 6 0 1 1-8 0ZM16 12v12',
  motion: 'M26 16a10 10 0 1 1-3-7M23 3v6h-6',
  spring: 'M2 16h4l3-9 5 18 5-18 5 18 3-9h3',
  gravity: 'M9 4h14v11H9ZM16 15v12M10 22l6 6 6-6',
  pressure: 'M16 28a12 12 0 1 1 0-24 12 12 0 0 1 0 24ZM16 16l6-6',
  gas: 'M16 3c6 7 9 11 9 16a9 9 0 0 1-18 0c0-4 3-6 5-9 1 3 2 4 3 5 1-4 1-8 1-12Z',
  water: 'M16 3c6 8 9 12 9 16a9 9 0 0 1-18 0c0-4 3-8 9-16Z',
  sharp: 'M4 28L26 4l2 8L12 28Z',
};
