/** Fields of an untrusted object, read one by one: the value in its right shape, or a sentence that names the field. */
/** Thrown inside the reading of one command and caught at its border; the message is the sentence. */
export class Unusable extends Error {}

export type Json = Readonly<Record<string, unknown>>;

function isObject(value: unknown): value is Json {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

export function fail(says: string): never {
  throw new Unusable(says);
}

export function object(value: unknown, where: string, known?: readonly string[]): Json {
  if (!isObject(value)) return fail(`${where} has to be an object.`);
  const strange = known && Object.keys(value).find((name) => !known.includes(name));
  if (strange === undefined) return value;
  return fail(`“${where}.${strange}” is not known; there are: ${known?.join(', ')}.`);
}

const LONGEST_TEXT = 4000;

export function text(value: unknown, where: string): string {
  if (typeof value !== 'string') return fail(`${where} has to be text.`);
  if (value.length > LONGEST_TEXT)
    return fail(`${where} is longer than ${LONGEST_TEXT} characters.`);
  if (!value.isWellFormed()) return fail(`${where} holds half a character.`);
  return value;
}

export function optionalText(value: unknown, where: string): string | undefined {
  return value === undefined || value === null ? undefined : text(value, where);
}

// eslint-disable-next-line no-control-regex -- control characters are what this refuses
const NAME = /^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]{1,128}$/;

/** What people, instruments and connectors are called by. */
export function id(value: unknown, where: string): string {
  const said = text(typeof value === 'number' ? String(value) : value, where).trim();
  return NAME.test(said) ? said : fail(`${where} has to be one line of at most 128 characters.`);
}

const DIGEST = /^[0-9a-f]{64}$/;

export function digest(value: unknown, where: string): string {
  const said = text(value, where);
  return DIGEST.test(said)
    ? said
    : fail(`${where} has to be the SHA-256 of what is stored, as 64 characters of lower-case hex.`);
}

/** A number on a lock or beside a breaker: a name that is mostly figures. */
export function number(value: unknown, where: string): string {
  return text(typeof value === 'number' ? String(value) : value, where);
}

export function whole(value: unknown, where: string): number {
  const said = typeof value === 'string' && /^\d{1,15}$/.test(value) ? Number(value) : value;
  return Number.isSafeInteger(said) ? (said as number) : fail(`${where} has to be a whole number.`);
}

export function count(value: unknown, where: string): number {
  const found = whole(value, where);
  return found >= 0 ? found : fail(`${where} cannot be negative.`);
}

/** A number of milliseconds or minutes, with a fraction or without. */
export function amount(value: unknown, where: string): number {
  const fits = typeof value === 'number' && value >= 0 && value <= Number.MAX_SAFE_INTEGER;
  return fits ? value : fail(`${where} has to be a number, not negative.`);
}

export function list(value: unknown, where: string): readonly unknown[] {
  if (value === undefined || value === null) return [];
  if (!Array.isArray(value)) return fail(`${where} has to be a list.`);
  return value.length > 1000 ? fail(`${where} holds more than 1000 items.`) : value;
}

export const texts = (value: unknown, where: string) =>
  list(typeof value === 'string' ? [value] : value, where).map((each, at) =>
    text(each, `${where}[${at}]`),
  );

export const ids = (value: unknown, where: string) =>
  list(value, where).map((each, at) => id(each, `${where}[${at}]`));

const DEEPEST = 10;

/** Data as a checklist holds it: text, whole numbers, yes and no, lists and objects of them. */
export function plain(value: unknown, where: string, depth = DEEPEST): unknown {
  if (typeof value === 'boolean') return value;
  if (typeof value === 'number') return whole(value, where);
  if (typeof value === 'string') return text(value, where);
  if (depth === 0) return fail(`${where} is nested too deeply.`);
  if (Array.isArray(value))
    return list(value, where).map((each, at) => plain(each, `${where}[${at}]`, depth - 1));
  const members = Object.entries(object(value, where));
  return Object.fromEntries(
    members.map(([name, each]) => [name, plain(each, `${where}.${name}`, depth - 1)]),
  );
}
