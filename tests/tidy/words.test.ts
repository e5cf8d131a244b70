import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { filesBelow, type SourceFile } from './tree.ts';

const endings = ['.ts', '.mjs', '.js', '.svelte', '.css', '.html', '.md', '.yaml', '.yml', '.json'];

// Written in two halves, so that this file does not trip over itself.
const unfinished = new RegExp(`\\b(${['TO' + 'DO', 'FIX' + 'ME', 'X' + 'XX'].join('|')})\\b`, 'g');
const elsewhere = new RegExp('/wo' + 'rk/|/ro' + 'ot/', 'g');
const unqualified = /\b(is|are) (perfectly |completely |now )?safe to (touch|work|use)\b/gi;

/**
 * Names of tools and places that a program has no reason to speak of, as the first 16 digits of
 * their SHA-256, so that they stand nowhere in the repository, not even here.
 */
const strangers = new Set([
  'c857d09db23e6822',
  'c70eca6b0f88f44d',
  '60965168ce762e94',
  '7d3194f79e645c42',
  '3ea125d0bff386e6',
  '487b91042c7cf27a',
  'de2187af3fb01170',
  '57de4cf40144bdf7',
  '7b8208d11b1b6f48',
  'cd88a6fb14237c16',
  '94a168d2da574b00',
  'd298391b07433318',
  '11fb682be0a0233d',
]);
const known = new Map<string, boolean>();

function isStranger(word: string): boolean {
  const seen = known.get(word);
  if (seen !== undefined) return seen;
  const among = strangers.has(digest(word)) || strangers.has(digest(word.toLowerCase()));
  known.set(word, among);
  return among;
}

function digest(word: string): string {
  return createHash('sha256').update(word).digest('hex').slice(0, 16);
}

function faults({ path, text }: SourceFile): string[] {
  return text.split('\n').flatMap((line, index) => {
    const where = `${path}:${index + 1}`;
    return [
      ...matches(line, unfinished).map(
        (word) => `${where}: "${word}": finish it, or write down the limit`,
      ),
      ...matches(line, elsewhere).map(
        (word) => `${where}: "${word}" is a place outside the project`,
      ),
      ...matches(line, unqualified).map(
        (word) => `${where}: "${word}": say what was proved, when, and until when`,
      ),
      ...(line.match(/[A-Za-z]+/g) ?? [])
        .filter(isStranger)
        .map((word) => `${where}: "${word}" has no place here`),
    ];
  });
}

function matches(line: string, pattern: RegExp): string[] {
  return [...line.matchAll(pattern)].map(([word]) => word);
}

describe('the words of the repository', () => {
  test('hold no loose ends, no strangers and no unqualified promise', () => {
    const files = filesBelow('', endings).filter(({ path }) => path !== 'package-lock.json');
    expect(files.length).toBeGreaterThan(20);
    expect(files.flatMap(faults)).toEqual([]);
  });

  test.each([
    '// TO' + 'DO: later',
    '// FIX' + 'ME',
    'see /wo' + 'rk/plan.md',
    'The range is now safe ' + 'to touch.',
    'made with Chat' + 'GPT',
  ])('bites: %s', (text) => {
    expect(faults({ path: 'src/x.ts', text })).toHaveLength(1);
  });

  test.each(['Nothing to do here.', 'the workshop/bench', 'whether it is proved dead'])(
    'lets through: %s',
    (text) => {
      expect(faults({ path: 'src/x.ts', text })).toEqual([]);
    },
  );
});
