/** What the office asks the people of a device, and the answers that they sign there. */
import { lookAnswerMessage, fromBase64url, readDisclosure } from '#lib/core/record/index.ts';
import { verifyWithCheckedKey } from '#lib/core/record/index.ts';
import type { Finding } from '#lib/core/screen/finding.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import type { Rows } from '../database/database.ts';
import { actOf, changed, type Change } from '../log/change.ts';
import type { OrganisationLog } from '../log/organisation-log.ts';
import { refused, type Answered, type Refused } from '../refusal.ts';
import { askedOf } from './look-list.ts';
import { keepWords, wordsAbout, wrongWords } from './words-kept.ts';

export interface AskedHere {
  readonly look: number;
  readonly person: string;
  readonly name: string;
  /** The officer's own question; empty once it was erased. */
  readonly asks: string;
  /** When others of the office may see it, in milliseconds. */
  readonly openFrom: number;
  readonly finding: Finding;
}

/** Only what people with a good key on this device were asked, and have not answered. */
export async function questionsFor(rows: Rows, device: string): Promise<AskedHere[]> {
  const people = await rows
    .selectFrom('keys')
    .select('person')
    .distinct()
    .where('device', '=', device)
    .where('until_idx', 'is', null)
    .execute();
  const looks = await askedOf(
    rows,
    people.map(({ person }) => person),
  );
  const asked: AskedHere[] = [];
  for (const { no, person, name, openFrom, finding } of looks) {
    const words = await wordsAbout(rows, { look: no });
    const asks = words.find(({ kind }) => kind === 'ask')?.text ?? '';
    asked.push({ look: no, person, name, asks, openFrom: openFrom ?? 0, finding });
  }
  return asked;
}

export interface LookAnswer {
  readonly look: number;
  readonly person: string;
  /** Thumbprint of the person's key on the device. */
  readonly key: string;
  /** A salted disclosure of the name `text`. */
  readonly words: string;
  /** Signature of the key over `lookAnswerMessage`, Base 64 without padding. */
  readonly proof: string;
}

/** The act holds the digest of the words, the key and its signature; the words stand beside the log. */
export async function answerFromDevice(
  { log, now }: { readonly log: OrganisationLog; readonly now: () => number },
  answer: LookAnswer,
  device: string,
): Promise<Answered<object>> {
  const { look, person, key, proof } = answer;
  const words = readDisclosure(answer.words, nodePrimitives);
  if (!words.ok || words.value.name !== 'text' || typeof words.value.value !== 'string')
    return refused(422, 'bad-words', 'The answer is not written as one. Nothing was kept.');
  const { digest, encoded, value: text } = words.value;
  const wrong = wrongWords(text);
  if (wrong !== null) return wrong;
  return changed(log, async (rows): Promise<Change<object> | Refused> => {
    const hand = await rows
      .selectFrom('keys')
      .select('public_key')
      .where('thumbprint', '=', key)
      .where('person', '=', person)
      .where('device', '=', device)
      .where('until_idx', 'is', null)
      .executeTakeFirst();
    if (hand === undefined)
      return refused(403, 'not-named', 'This device answers only for its own people.');
    const message = lookAnswerMessage({ log: log.origin, look, person, words: digest });
    const signature = fromBase64url(proof) ?? new Uint8Array();
    if (!(await verifyWithCheckedKey(nodePrimitives, hand.public_key, message, signature)))
      return refused(422, 'bad-proof', 'The answer is not signed by its person. Nothing was kept.');
    const row = await rows
      .selectFrom('looks')
      .select('answered_at')
      .where('no', '=', look)
      .where('person', '=', person)
      .where('asked_at', 'is not', null)
      .where('closed_at', 'is', null)
      .executeTakeFirst();
    if (row === undefined)
      return refused(404, 'no-look', 'This is not asked any more. Nothing was kept.');
    if (row.answered_at !== null)
      return refused(409, 'answered', 'This was answered before. Nothing was kept.');
    await rows.updateTable('looks').set({ answered_at: now() }).where('no', '=', look).execute();
    const sealed = { digest, encoded };
    await keepWords(rows, { kind: 'answer', look, by: person, at: now(), text, sealed });
    return actOf('look.answered', { key, look, proof, words: digest }, device, {});
  });
}
