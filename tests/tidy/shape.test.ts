import { describe, expect, test } from 'vitest';
import { filesBelow, pathsBelow, written, type SourceFile } from './tree.ts';

const mostLines = 400;
const emptyNames = /(manager|helper|util|utils|service|common|misc)s?(?=[.\-/]|$)/i;
const kebab = /^[a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9]+)*$/;
const pascal = /^[A-Z][A-Za-z0-9]*\.svelte$/;
/** The framework and the tools choose these. */
const givenNames = /^(\+.*|service-worker.*|\[.*\].*|\(.*\))$/;

function tooLong({ path, text }: SourceFile): string[] {
  const lines = text.trimEnd().split('\n').length;
  return lines > mostLines
    ? [`${path} has ${lines} lines; past ${mostLines} a second noun has moved in: split it`]
    : [];
}

function misnamed(path: string): string[] {
  return path
    .split('/')
    .filter((part) => !givenNames.test(part) && !part.startsWith('.'))
    .flatMap((part) => {
      // To service a slicer is work of the trade, not a room of a program.
      if (emptyNames.test(part.replace('slicer-service', 'slicer')))
        return [`${path}: "${part}" names no thing of the trade`];
      const fits = part.endsWith('.svelte') ? pascal.test(part) : kebab.test(part);
      return fits
        ? []
        : [`${path}: "${part}" is not written in kebab-case (components: PascalCase)`];
    });
}

describe('the shape of the files', () => {
  test('none is longer than it should be', () => {
    const files = ['src', 'tests'].flatMap((folder) => filesBelow(folder, written));
    expect(files.length).toBeGreaterThan(10);
    expect(files.flatMap(tooLong)).toEqual([]);
  });

  test('each is named after a thing', () => {
    const paths = pathsBelow('src').concat(pathsBelow('tests'), pathsBelow('checklists'));
    expect(paths.filter((path) => !path.endsWith('.md')).flatMap(misnamed)).toEqual([]);
  });

  test('bites on a long file', () => {
    const text = 'const a = 1;\n'.repeat(mostLines + 1);
    expect(tooLong({ path: 'src/long.ts', text })).toHaveLength(1);
    expect(tooLong({ path: 'src/fits.ts', text: 'a\n'.repeat(mostLines) })).toEqual([]);
  });

  test.each([
    'src/lib/core/job/job-manager.ts',
    'src/lib/ui/date-utils.ts',
    'src/lib/utils/format.ts',
    'src/lib/server/mail-service.ts',
    'src/lib/core/job/jobState.ts',
    'src/lib/ui/step-card.svelte',
  ])('bites on the name %s', (path) => {
    expect(misnamed(path)).toHaveLength(1);
  });
});
