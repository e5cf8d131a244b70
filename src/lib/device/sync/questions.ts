/**
 * What the office asks the people of this device. The questions of the last round are kept here, so that
 * they can be read and answered without a signal; an answer waits in the store until it is taken.
 */
import { base64url, discloseAll, lookAnswerMessage } from '#lib/core/record/index.ts';
import type { Primitives } from '#lib/core/record/index.ts';
import { signerOf } from '../keys.ts';
import type { DeviceStore } from '../store.ts';
import { done } from '../trouble.ts';
import type { Result } from '../trouble.ts';
import type { Question, ServerLink, ServerSettings } from './server-link.ts';

const QUESTIONS = 'questions';
const answerName = (look: number): string => `answer/${look}`;

/** What was written for a question and is not with the office yet. */
export interface Answering {
  readonly text: string;
  /** Why the office does not take it. */
  readonly refused?: string;
}

export interface AskedQuestion extends Question {
  readonly answering: Answering | null;
}

export async function questionsKept(store: DeviceStore): Promise<Result<AskedQuestion[]>> {
  const read = await store.readSetting(QUESTIONS);
  if (!read.ok) return read;
  const kept: AskedQuestion[] = [];
  for (const question of (read.value ?? []) as readonly Question[]) {
    const written = await store.readSetting(answerName(question.look));
    if (!written.ok) return written;
    kept.push({ ...question, answering: (written.value as Answering | undefined) ?? null });
  }
  return done(kept);
}

/** Keeps an answer for the next round; null takes back what was refused. */
export function keepAnswer(
  store: DeviceStore,
  look: number,
  text: string | null,
): Promise<Result<void>> {
  return store.saveSetting(answerName(look), text === null ? undefined : { text });
}

/** Sends the answers that wait, then asks what is asked. Trouble here never holds up the entries. */
export async function exchange(
  store: DeviceStore,
  link: ServerLink,
  server: ServerSettings,
  primitives: Primitives,
): Promise<void> {
  const kept = await questionsKept(store);
  if (!kept.ok) return;
  const refused: Question[] = [];
  for (const { answering, ...question } of kept.value) {
    const { look, person } = question;
    if (answering === null) continue;
    const hand = await signerOf(store.connection, person);
    if (!hand.ok) continue;
    const salt = () => crypto.getRandomValues(new Uint8Array(16));
    const { disclosures } = discloseAll({ text: answering.text }, salt, primitives);
    const [words] = disclosures;
    if (words === undefined) continue;
    const statement = { log: server.origin, look, person, words: words.digest };
    const proof = base64url(await hand.value.sign(lookAnswerMessage(statement)));
    const sent = await link.answer({
      look,
      person,
      key: hand.value.key,
      words: words.encoded,
      proof,
    });
    if (sent.ok) await keepAnswer(store, look, null);
    else if (sent.failure.kind === 'refused') {
      const { says } = sent.failure;
      await store.saveSetting(answerName(look), { ...answering, refused: says });
      refused.push(question);
    }
  }
  const asked = await link.questions();
  if (!asked.ok) return;
  const { questions } = asked.value;
  const known = new Set(questions.map(({ look }) => look));
  // What was written is not thrown away because nobody waits for it any more.
  const left = refused.filter(({ look }) => !known.has(look));
  await store.saveSetting(QUESTIONS, [...questions, ...left]);
}
