/**
 * The published test vectors, where they are kept beside the project: `../shared/vectors`, or the
 * folder that STILLWIRE_VECTORS names. They are not part of this repository.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe } from 'vitest';

const beside = fileURLToPath(new URL('../../../shared/vectors', import.meta.url));
export const vectorsFolder = process.env['STILLWIRE_VECTORS'] ?? beside;
export const haveVectors = existsSync(vectorsFolder);

/** A block of tests over the vectors; where these are missing it is skipped, and says so. */
export function describeWithVectors(title: string, tests: () => void): void {
  const words = haveVectors
    ? title
    : `${title}: skipped, the published vectors are not beside the project (set STILLWIRE_VECTORS)`;
  describe.skipIf(!haveVectors)(words, tests);
}

export function vectorBytes(...path: string[]): Uint8Array {
  return readFileSync(join(vectorsFolder, ...path));
}

export function vectorText(...path: string[]): string {
  return readFileSync(join(vectorsFolder, ...path), 'utf8');
}

/** Names in a folder of vectors, sorted; none where there are no vectors. */
export function vectorNames(...path: string[]): string[] {
  return haveVectors ? readdirSync(join(vectorsFolder, ...path)).sort() : [];
}
