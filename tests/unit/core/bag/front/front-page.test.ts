import { describe, expect, it } from 'vitest';
import { escaped, phrase, typed, written } from '#lib/core/bag/front/html.ts';
import { claimedPage, PAGE_VERSION } from '#lib/core/bag/front/front-page.ts';
import { FRONT_WORDS, frontLanguageOf } from '#lib/core/bag/front/words.ts';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import type { Order } from '#lib/core/job/commands.ts';
import { before, lampBag, lampPieces, packed, wholeJob } from '../../../../support/a-bag.ts';
import { takenApart } from '../../../../support/attacker.ts';

async function frontOf(bag: Uint8Array): Promise<string> {
  return Buffer.from((await takenApart(bag)).get('data/front.html') ?? '').toString();
}
async function frontOfJob(orders: readonly Order[]): Promise<string> {
  const pieces = await lampPieces(orders);
  const photos = orders === wholeJob ? (pieces.photos ?? []) : [];
  return frontOf(await packed(recordFolderFiles({ ...pieces, photos })));
}
/** What a reader sees, markup and style taken out. */
const textOf = (page: string): string =>
  page
    .replace(/<style>.*?<\/style>/s, '')
    .replace(/<[^>]+>/g, ' ')
    .replaceAll('&#39;', "'")
    .replaceAll('&quot;', '"')
    .replace(/\s+/g, ' ');

const page = await frontOf(await lampBag());
const text = textOf(page);

describe('the front page answers first', () => {
  it.each([
    ['what', 'Replace the switch of a bench lamp'],
    ['where', '4 Larch Lane, flat 2'],
    ['when', 'From 2026-11-25 10:00:00 -05:00 to 2026-11-25 10:04:20 -05:00'],
    [
      'who, and for what they were competent',
      'mara ( Mara Quill ); competent that day for: electrical',
    ],
    ['how it was isolated', 'Lamp plug ( Mains supply ): plug'],
    ['with what it was proved dead', 'Mains supply : proved dead 10:01:20 by mara [4] with T-7'],
    ['for how long', 'fresh for 30 min , and only while nothing ended it'],
    [
      'that the meter was checked before and after',
      'meter before: 119.6 of 120 V ; after: 119.6 of 120 V',
    ],
    ['how many connectors were closed', '1 of 1 taken off were put back'],
    ['how many covers were closed', '1 of 1 covers, props and other ends were closed again'],
    ['how it was left', 'Handed back 10:04:20 by mara [13]: put together, tested and signed for.'],
    ['how many things did not go by the list', '1, in plain words below'],
    ['what it cannot show', 'That a hand did what was entered.'],
    [
      'what was refused',
      'Refused (order, not-dead): “ Take off the base plate. ” “dead” comes first.',
    ],
    ['the form of a qualified person', 'I am qualified to make this certification.'],
  ])('%s', (_, wanted) => {
    expect(text).toContain(wanted);
  });

  it('in that order: answers, timeline, readings, connectors, exceptions, certification, limits', () => {
    const headings = [...page.matchAll(/<h2 id="([\w-]+)">/g)].map((found) => found[1]);
    expect(headings).toEqual([
      'in-short',
      'timeline',
      'readings',
      'connectors',
      'exceptions',
      'instruments',
      'sheet',
      'certification',
      'cannot',
      'fingerprints',
    ]);
  });

  it('draws a band for each source, and says the same in words', () => {
    expect(page).toContain('<svg viewBox="0 0 960');
    expect(text).toMatch(
      /Mains supply live .*Mains supply cut .*Mains supply proved dead .*Mains supply live/,
    );
  });

  it('shows the photos before and after beside each connector', () => {
    expect(page).toContain(`<img src="photos/${before.sha256}.jpg" alt="Photo`);
  });

  it('never says that anything is safe', () => {
    expect(text).not.toMatch(/\b(safe|safely|compliant|certified)\b/i);
  });

  it('names every entry key, and not the one that only sealed the bag', () => {
    expect(text).toContain('Key of mara , since');
    expect(text).not.toContain('Key of office');
  });
});

describe('the page stands alone', () => {
  it('runs nothing and fetches nothing', () => {
    expect(page).not.toMatch(/<(script|link|iframe|object|embed|form|base|a)\b/i);
    expect(page).not.toMatch(/\son\w+=/i);
    expect(page).not.toMatch(/url\((?!#)/i);
    const sources = [...page.matchAll(/(?:src|href)="([^"]*)"/g)].map((found) => found[1]);
    expect(sources.every((source) => /^photos\/[0-9a-f]{64}\.jpg$/.test(source ?? ''))).toBe(true);
    expect(page).toContain(
      `content="default-src &#39;none&#39;; img-src &#39;self&#39; file:; style-src &#39;unsafe-inline&#39;"`,
    );
  });

  it('is the same each time, and in Spanish when asked', async () => {
    expect(await frontOf(await lampBag())).toBe(page);
    const spanish = await frontOf(await lampBag({ language: 'es' }));
    expect(claimedPage(spanish)).toEqual({ language: 'es', version: PAGE_VERSION });
    expect(textOf(spanish)).toContain('1 de 1 desconectados se volvieron a conectar');
    expect(claimedPage('<!DOCTYPE html>\n<html lang="xx">')).toBeNull();
  });

  it('has words for everything in every language', () => {
    for (const words of Object.values(FRONT_WORDS)) {
      expect(Object.values(words).every((word) => word !== '')).toBe(true);
    }
    const braces = (word: string): string[] => [...word.matchAll(/\{\w+\}/g)].map(String).sort();
    for (const [name, word] of Object.entries(FRONT_WORDS.en)) {
      expect(braces(FRONT_WORDS.es[name as keyof typeof FRONT_WORDS.es])).toEqual(braces(word));
    }
    expect(frontLanguageOf('es-MX')).toBe('es');
    expect(frontLanguageOf('de')).toBe('en');
  });
});

describe('what a person typed stays text', () => {
  const hostile = [
    '<script>alert(1)</script>',
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    '</bdi></main><script>x</script>',
    '<!-- comment -->',
    '&lt;b&gt; &amp; &#0;',
    'javascript:alert(1)',
    'https://evil.example/?q=1',
    '=HYPERLINK("https://evil.example")',
    '<svg/onload=alert(1)>',
    '{{constructor.constructor("alert(1)")()}}',
    '${alert(1)} {moment} {by}',
    ']]>',
    '\u202Eevil\u202C',
    '\u0000\u0007\u001b[31m',
    '\u200b\ufeff\u2028',
    'ümläut 漢字 עברית عربى 😀',
  ];
  const orders = (word: string): readonly Order[] => [
    {
      ...(wholeJob[0] as Order & { command: 'open' }),
      site: word,
      people: [{ id: 'mara', name: word, competence: [word, 'electrical'] }],
    },
    ...wholeJob.slice(1, 3),
    { command: 'nearMiss', what: word },
    { command: 'tingle', what: word },
    { command: 'downTools', why: word },
  ];

  it.each(hostile)('%j', async (word) => {
    const made = await frontOfJob(orders(word));
    expect(made).not.toMatch(/<(script|img|iframe|a|svg\/)\b(?![^>]*(photos\/|viewBox))/i);
    expect(made).not.toMatch(/<[^>]*\son\w+\s*=/i);
    // Every tag on the page is one that the page has without the word.
    const tags = (html: string): Set<string> =>
      new Set([...html.matchAll(/<\/?([a-z0-9]+)/gi)].map((found) => found[1] ?? ''));
    const plain = tags(await frontOfJob(orders('plain')));
    expect([...tags(made)].filter((tag) => !plain.has(tag))).toEqual([]);
    // eslint-disable-next-line no-control-regex -- none of them may be left
    expect(made).not.toMatch(/[\u0000-\u0008\u000b-\u001f\u200b\u202a-\u202e\ufeff\u2028]/);
  });
});

describe('HTML as values', () => {
  it('escapes text and keeps markup', () => {
    expect(written(['<b>', typed('<i>')])).toBe('&lt;b&gt;<bdi>&lt;i&gt;</bdi>');
    expect(escaped('\u202e\u0000')).toBe('[U+202E][U+0000]');
  });

  it('fills a sentence without reading what it is filled with', () => {
    expect(written(phrase('{a} and {b}', { a: '{b}', b: typed('{a}') }))).toBe(
      '{b} and <bdi>{a}</bdi>',
    );
    expect(written(phrase('{missing}', {}))).toBe('missing');
  });
});
