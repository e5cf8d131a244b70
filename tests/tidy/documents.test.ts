import { existsSync, readFileSync } from 'node:fs';
import { posix, join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { filesBelow, root, type SourceFile } from './tree.ts';

const { scripts } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as {
  scripts: Record<string, string>;
};
const folders = ['src/', 'tests/', 'static/', 'checklists/', '.ci/'];

/** Links, paths between backticks and `npm run` scripts that lead nowhere. */
function deadEnds({ path, text }: SourceFile): string[] {
  const here = posix.dirname(path);
  const links = [...text.matchAll(/\]\(([^)\s]+)\)/g)].map((match) => match[1] ?? '');
  const inCode = [...text.matchAll(/`([^`\n]+)`/g)].map((match) => match[1] ?? '');
  const paths = inCode.filter(
    (code) => folders.some((folder) => code.startsWith(folder)) && !/[<>*{}… ]/.test(code),
  );
  const runs = [...text.matchAll(/npm run (?:-s )?([\w:-]+)/g)].map((match) => match[1] ?? '');
  return [
    ...links.flatMap((link) => deadLink(path, here, link, text)),
    ...paths.filter((one) => !existsSync(join(root, one))).map((one) => `${path}: no file ${one}`),
    ...runs.filter((run) => !(run in scripts)).map((run) => `${path}: no script "${run}"`),
  ];
}

function deadLink(path: string, here: string, link: string, text: string): string[] {
  if (/^(https?|mailto):/.test(link)) return [];
  const [file = '', anchor] = link.split('#');
  const target = file === '' ? path : posix.normalize(posix.join(here, file));
  if (file !== '' && !existsSync(join(root, target)))
    return [`${path}: the link ${link} leads nowhere`];
  if (anchor === undefined || !target.endsWith('.md')) return [];
  const there = file === '' ? text : readFileSync(join(root, target), 'utf8');
  return anchors(there).includes(anchor) ? [] : [`${path}: no heading for ${link}`];
}

function anchors(text: string): string[] {
  return [...text.matchAll(/^#+ (.+)$/gm)].map((match) =>
    (match[1] ?? '')
      .toLowerCase()
      .replace(/[^\p{L}\p{N}\s_-]/gu, '')
      .replace(/\s/g, '-'),
  );
}

describe('the documents', () => {
  test('lead somewhere with every link, path and command', () => {
    const documents = filesBelow('', ['.md']);
    expect(documents.map(({ path }) => path)).toEqual(
      expect.arrayContaining(['README.md', 'DEVELOPERS.md']),
    );
    expect(documents.flatMap(deadEnds)).toEqual([]);
  });

  test.each([
    'See [the page](src/nowhere.md).',
    'See [below](#no-such-heading).',
    'See [there](DEVELOPERS.md#no-such-heading).',
    'It is in `src/lib/core/nowhere.ts`.',
    'Run `npm run nothing-of-that-name`.',
  ])('bites: %s', (text) => {
    expect(deadEnds({ path: 'DEVELOPERS.md', text: `# Title\n\n${text}\n` })).toHaveLength(1);
  });

  test('lets a good link through', () => {
    const text =
      '# The one way\n\n[a](#the-one-way) [b](src/app.html) `src/cli/main.ts` `npm run check`';
    expect(deadEnds({ path: 'DEVELOPERS.md', text })).toEqual([]);
  });
});
