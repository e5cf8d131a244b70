import { describe, expect, test } from 'vitest';
import { filesBelow, type SourceFile } from './tree.ts';

/** What would make two runs over the same events differ, and what the core uses instead. */
const banned: readonly { call: RegExp; instead: string }[] = [
  { call: /\bDate\.now\b/, instead: 'the time comes in as an argument' },
  { call: /\bnew Date\(\s*\)/, instead: 'the time comes in as an argument' },
  { call: /(?<![.\w])(?<!new )Date\(/, instead: 'the time comes in as an argument' },
  { call: /\bperformance\b\s*\./, instead: 'the monotonic time comes in as an argument' },
  { call: /\bTemporal\.Now\b/, instead: 'the time comes in as an argument' },
  { call: /\bMath\.random\b/, instead: 'random bytes come in as an argument' },
  { call: /\bgetRandomValues\b/, instead: 'random bytes come in as an argument' },
  { call: /\brandomUUID\b/, instead: 'an identifier comes in as an argument' },
  { call: /\brandom(Bytes|SecretKey|PrivateKey)\b/, instead: 'keys come in as an argument' },
  { call: /\b(setTimeout|setInterval|queueMicrotask)\b/, instead: 'the core never waits' },
  {
    call: /\b(?:localStorage|indexedDB)\s*[.(]|\bfetch\s*\(/,
    instead: 'stores are outside the core',
  },
  { call: /\bprocess\.\w/, instead: 'the machine is outside the core' },
  { call: /\.toLocale\w*\(/, instead: "words follow the reader's place, and are written in ui" },
  { call: /\.localeCompare\(/, instead: 'compare code units: places sort letters differently' },
  { call: /\bIntl\./, instead: "words follow the reader's place, and are written in ui" },
  { call: /\bget(FullYear|Month|Date|Day|Hours|Minutes)\(/, instead: 'use the UTC forms' },
];

function impurities({ path, text }: SourceFile): string[] {
  return withoutComments(text)
    .split('\n')
    .flatMap((line, index) =>
      banned
        .filter(({ call }) => call.test(line))
        .map(({ call, instead }) => `${path}:${index + 1}: ${call.exec(line)?.[0]}; ${instead}`),
    );
}

/** Keeps the line numbers. */
function withoutComments(text: string): string {
  return text
    .replace(/\/\*[\s\S]*?\*\//g, (comment) => comment.replace(/[^\n]/g, ''))
    .replace(/(^|\s)\/\/.*$/gm, '$1');
}

describe('the core asks neither the clock nor the dice', () => {
  test('in any of its files', () => {
    const core = filesBelow('src/lib/core', ['.ts']);
    expect(core.length).toBeGreaterThan(0);
    expect(core.flatMap(impurities)).toEqual([]);
  });

  test.each([
    'const at = Date.now();',
    'const at = new Date();',
    'const at = new Date( );',
    'const at = Date();',
    'const began = performance.now();',
    'const pick = Math.random();',
    'crypto.getRandomValues(bytes);',
    'const id = crypto.randomUUID();',
    'const key = ed25519.utils.randomSecretKey();',
    'setTimeout(done, 10);',
    'await fetch(url);',
    'const mode = process.env.MODE;',
    'names.sort((a, b) => a.localeCompare(b));',
    'const text = value.toLocaleString();',
    'const hour = at.getHours();',
  ])('bites: %s', (line) => {
    expect(impurities({ path: 'src/lib/core/x.ts', text: `\n${line}\n` })).toEqual([
      expect.stringContaining('src/lib/core/x.ts:2: '),
    ]);
  });

  test.each([
    'const at = new Date(atMs);',
    'const at = Date.parse(text);',
    '// Date.now is not for this room',
    '/* nor is\n Math.random */',
    'const hour = at.getUTCHours();',
    'toDate(text)',
  ])('lets through: %s', (line) => {
    expect(impurities({ path: 'src/lib/core/x.ts', text: line })).toEqual([]);
  });
});
