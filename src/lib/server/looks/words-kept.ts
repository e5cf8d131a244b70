/**
 * What the office and people on site say: the words stand beside the log as a salted disclosure and may be
 * erased, the signed act holds only their digest.
 */
import { randomBytes } from 'node:crypto';
import { discloseAll, readDisclosure } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows, Writing } from '../database/database.ts';
import { refused, type Refused } from '../refusal.ts';

export const WORD_KINDS = [
  'ask',
  'answer',
  'note',
  'close',
  'jobNote',
  'countersign',
  'amend',
  'release',
] as const;
export type WordKind = (typeof WORD_KINDS)[number];

export const MOST_LETTERS = 2000;

export interface NewWords {
  readonly kind: WordKind;
  readonly look?: number;
  readonly job?: string;
  readonly seq?: number;
  readonly by: string;
  readonly at: number;
  readonly text: string;
  /** The disclosure as a device made and signed for it; else it is made here. */
  readonly sealed?: { readonly digest: string; readonly encoded: string };
}

/** A salted disclosure of private words, and the digest that stands for it. */
export function sealedWords(text: string): { readonly digest: string; readonly encoded: string } {
  const { disclosures } = discloseAll({ text }, () => randomBytes(16), nodePrimitives);
  const [first] = disclosures;
  if (first === undefined) throw new Error('Nothing was disclosed.');
  return { digest: first.digest, encoded: first.encoded };
}

export function openedWords(encoded: string | null): string | null {
  if (encoded === null) return null;
  const read = readDisclosure(encoded, nodePrimitives);
  return read.ok && typeof read.value.value === 'string' ? read.value.value : null;
}

/** @returns what is wrong with a text that somebody typed, or null */
export function wrongWords(text: string): Refused | null {
  if (text.trim() === '')
    return refused(422, 'no-words', 'Nothing was kept: write at least a word.');
  if (text.length > MOST_LETTERS)
    return refused(422, 'too-long', `Nothing was kept: at most ${MOST_LETTERS} letters fit here.`);
  return null;
}

/** Only inside `alone`, which numbers them. @returns the digest for the act */
export async function keepWords(rows: Writing, words: NewWords): Promise<string> {
  const { digest, encoded } =
    words.sealed ?? sealedWords(words.text.trim().replaceAll('\u0000', ''));
  const { last } = await rows
    .selectFrom('office_words')
    .select((is) => is.fn.max('no').as('last'))
    .executeTakeFirstOrThrow();
  await rows
    .insertInto('office_words')
    .values({
      no: (last ?? 0) + 1,
      kind: words.kind,
      look_no: words.look ?? null,
      job: words.job ?? null,
      seq: words.seq ?? null,
      by: words.by,
      at: words.at,
      digest,
      encoded,
    })
    .execute();
  return digest;
}

export interface Words {
  readonly kind: string;
  readonly seq: number | null;
  /** Name of the account or the person, else the id. */
  readonly by: string;
  readonly at: number;
  /** Null once erased. */
  readonly text: string | null;
}

/** What was said about a look, or about a job, the oldest first. */
export async function wordsAbout(
  rows: Rows,
  about: { readonly look: number } | { readonly job: string },
): Promise<Words[]> {
  const found = await rows
    .selectFrom('office_words')
    .leftJoin('accounts', 'accounts.id', 'office_words.by')
    .leftJoin('people', 'people.id', 'office_words.by')
    .select([
      'office_words.kind',
      'office_words.seq',
      'office_words.by',
      'office_words.at',
      'office_words.encoded',
      'accounts.name as account',
      'people.name as person',
    ])
    .$if('look' in about, (query) =>
      query.where('office_words.look_no', '=', 'look' in about ? about.look : 0),
    )
    .$if('job' in about, (query) =>
      query.where('office_words.job', '=', 'job' in about ? about.job : ''),
    )
    .orderBy('office_words.no')
    .limit(500)
    .execute();
  return found.map(({ kind, seq, by, at, encoded, account, person }) => ({
    kind,
    seq,
    at,
    by: account ?? person ?? by,
    text: openedWords(encoded),
  }));
}
