/**
 * The front page of a bag: one file, no script, nothing fetched, readable and printable for as long as
 * there are browsers. The same input always gives the same bytes: a verifier makes it again and
 * compares.
 */
import { utf8 } from '../../record/bytes.ts';
import { answers } from './answers.ts';
import { exceptions } from './exceptions.ts';
import type { FrontInput } from './front-input.ts';
import { el, Html, list, phrase, table, typed, written } from './html.ts';
import type { Content } from './html.ts';
import { storyOf } from './story.ts';
import { connectors, instruments, photos, readings, sheet } from './tables.ts';
import { dayOf, moment, time } from './telling.ts';
import type { Telling } from './telling.ts';
import { timeline } from './timeline.ts';
import { FRONT_LANGUAGES, FRONT_WORDS } from './words.ts';
import type { FrontLanguage } from './words.ts';

/**
 * Goes up by one with every change in what the page says or how: a verifier compares only pages of its
 * own version, and must not call an older one changed.
 */
export const PAGE_VERSION = 2;

const STYLE = `
:root{color-scheme:light}
body{font:16px/1.45 "Atkinson Hyperlegible Next",Verdana,sans-serif;color:#1a1a1a;background:#fff;max-width:62rem;margin:0 auto;padding:1.5rem}
h1{font-size:1.7rem;margin:0 0 .3rem}h2{font-size:1.2rem;margin:2rem 0 .5rem;border-bottom:2px solid #1a1a1a}
.demo{border:3px solid #1a1a1a;padding:.5rem;font-weight:700}
dl>div{display:grid;grid-template-columns:11rem 1fr;gap:.2rem 1rem;border-bottom:1px solid #bbb;padding:.35rem 0}
dt{font-weight:700}dd{margin:0}dd p,dd ul{margin:0}ul{padding-left:1.2rem}
table{border-collapse:collapse;width:100%;margin:.5rem 0 1rem}caption{text-align:left;font-weight:700;padding:.3rem 0}
th,td{border:1px solid #888;padding:.3rem .4rem;text-align:left;vertical-align:top;overflow-wrap:break-word}
svg{max-width:100%;height:auto}.legend,.photos{list-style:none;padding:0;display:flex;flex-wrap:wrap;gap:.3rem 1.2rem}.legend svg{vertical-align:middle}
figure{margin:0 0 .5rem}img{max-width:100%;height:auto}code{overflow-wrap:anywhere}
.form p{border-bottom:1px solid #1a1a1a;min-height:2.2rem}
@media screen and (max-width:40rem){body{padding:.75rem}dl>div{grid-template-columns:1fr}table,caption,tbody,tr,td{display:block}thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}tr{border:1px solid #888;margin:0 0 .6rem}td{border:0;padding:.2rem .5rem;overflow-wrap:anywhere}td:empty{display:none}td::before{content:attr(data-head) ": ";font-weight:700}}
@page{margin:14mm}
@media print{body{padding:0;max-width:none;font-size:9pt;line-height:1.25}h1{font-size:15pt}h2{font-size:12pt;margin:1rem 0 .3rem;break-after:avoid}dl>div{padding:.12rem 0}tr,figure,dl>div{break-inside:avoid}[aria-labelledby=timeline]{break-before:page}table{font-size:8.5pt}}
`.trim();

/** What the page says, before it is HTML: the same on paper. */
export interface FrontContent {
  readonly title: string;
  readonly sections: Content;
}

export function frontContent(input: FrontInput): FrontContent {
  const telling: Telling = { input, story: storyOf(input), words: FRONT_WORDS[input.language] };
  const { title } = input.shown ?? input.checklist;
  return { title: `${telling.words.heading}: ${title}`, sections: sections(telling) };
}

/** The page as text; see `FrontInput` for what it is made of. */
export function frontPage(input: FrontInput): string {
  const { title, sections: body } = frontContent(input);
  const head = el(
    'head',
    {},
    el('meta', { charset: 'utf-8' }),
    el('meta', {
      'http-equiv': 'Content-Security-Policy',
      content: "default-src 'none'; img-src 'self' file:; style-src 'unsafe-inline'",
    }),
    el('meta', { name: 'viewport', content: 'width=device-width, initial-scale=1' }),
    el('meta', {
      name: 'format-detection',
      content: 'telephone=no, date=no, address=no, email=no',
    }),
    el('title', {}, title),
    el('style', {}, new Html(STYLE)),
  );
  const whole = el(
    'html',
    { lang: input.language, 'data-page': PAGE_VERSION },
    head,
    el('body', {}, el('main', {}, body)),
  );
  return `<!DOCTYPE html>\n${written(whole)}\n`;
}

export function frontBytes(input: FrontInput): Uint8Array {
  return utf8(frontPage(input));
}

/** What a page says of itself: how to make it again. */
export interface ClaimedPage {
  readonly language: FrontLanguage;
  readonly version: number;
}

/** Null for a page that is not of this program. */
export function claimedPage(page: string): ClaimedPage | null {
  const found = /^<!DOCTYPE html>\n<html lang="([a-z]+)" data-page="([1-9]\d{0,3})">/.exec(page);
  const language = FRONT_LANGUAGES.find((one) => one === found?.[1]);
  return language === undefined ? null : { language, version: Number(found?.[2]) };
}

function sections(telling: Telling): Content {
  const { input, story, words } = telling;
  return [
    el(
      'header',
      {},
      el('h1', {}, words.heading),
      story.demo ? el('p', { class: 'demo' }, words.demo) : null,
      el('p', {}, `${words.job} `, el('code', {}, input.sealed[0]?.entry.job ?? '')),
      el('p', {}, el('small', {}, phrase(words.times, dayOf(story.opened.at)))),
    ),
    answers(telling),
    timeline(telling),
    readings(telling),
    connectors(telling),
    exceptions(telling),
    amendments(telling),
    photos(telling),
    instruments(telling),
    sheet(telling),
    certification(telling),
    cannotShow(telling),
    fingerprints(telling),
  ];
}

function amendments(telling: Telling): Content {
  const { story, words } = telling;
  if (story.amendments.length === 0) return null;
  const lines = story.amendments.map(({ moment: when, about, text }) =>
    phrase(words.amendment, {
      moment: moment(telling, when),
      about: typed(about),
      text: typed(text),
    }),
  );
  return el(
    'section',
    { 'aria-labelledby': 'amendments' },
    el('h2', { id: 'amendments' }, words.amendments),
    list(lines),
  );
}

function certification({ input, words }: Telling): Content {
  const first = input.sealed[0]?.entry;
  const [app, rules] = [typed(first?.app ?? ''), first?.rules ?? ''];
  const head = input.sealed.at(-1)?.hash ?? '';
  return el(
    'section',
    { 'aria-labelledby': 'certification' },
    el('h2', { id: 'certification' }, words.certification),
    el('p', {}, words.certificationIntro),
    list([
      phrase(words.certSystem, { app, rules: el('code', {}, rules) }),
      words.certProcess,
      phrase(words.certCopy, { count: input.sealed.length, head: el('code', {}, head) }),
    ]),
    el('p', {}, words.certStatement),
    el(
      'div',
      { class: 'form' },
      [words.certName, words.certTitle, words.certDate, words.certSignature].map((label) =>
        el('p', {}, `${label}:`),
      ),
    ),
  );
}

function cannotShow({ input, story, words }: Telling): Content {
  const { cannot1, cannot2, cannot3, cannot4, cannot5, cannot6, cannotEnd } = words;
  const lastReceipt = input.receipts.includes(input.sealed.length - 1);
  const ended = story.ending.kind !== 'open' && story.ending.kind !== 'parked';
  const open = ended || lastReceipt ? [] : [cannotEnd];
  return el(
    'section',
    { 'aria-labelledby': 'cannot' },
    el('h2', { id: 'cannot' }, words.cannotShow),
    list([...open, cannot1, cannot2, cannot3, cannot4, cannot5, cannot6]),
    el(
      'p',
      {},
      phrase(words.thirdParty, { receipts: input.receipts.length, timestamps: input.timestamps }),
    ),
  );
}

function fingerprints({ input, words }: Telling): Content {
  const first = input.sealed[0]?.entry;
  const code = (text: string): Content => el('code', {}, text);
  const rows: (readonly Content[])[] = [
    [words.fpRecord, code(input.digests.record)],
    [words.fpChecklist, code(input.digests.checklist)],
    [words.fpHead, code(input.sealed.at(-1)?.hash ?? '')],
    [words.fpRules, code(first?.rules ?? '')],
    [words.fpProgram, code(first?.app ?? '')],
    ...input.keys
      .filter(({ use }) => use === 'entries')
      .map(({ key, person, since, enrolledBy }): readonly Content[] => [
        phrase(words.fpKey, {
          person: typed(person),
          since: time(since),
          enrolledBy: typed(enrolledBy),
        }),
        code(key),
      ]),
  ];
  return el(
    'section',
    { 'aria-labelledby': 'fingerprints' },
    el('h2', { id: 'fingerprints' }, words.fingerprints),
    table({ headed: 'fingerprints' }, [words.what, 'SHA-256'], rows),
    el('p', {}, words.checkYourself),
  );
}
