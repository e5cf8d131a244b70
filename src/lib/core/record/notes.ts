/**
 * C2SP signed notes (c2sp.org/signed-note), Ed25519 signatures of type 0x01 only.
 *
 * Untrusted: the bytes of a note. Its text means nothing until a trusted key has signed it, so the only
 * way to a text here is `openNote`, which wants the keys.
 */
import { base64, fromBase64, hex, joined, sameBytes, textOf, utf8 } from './bytes.ts';
import { checkedKey, verifyStrictly } from './ed25519.ts';
import { flawed, good } from './outcome.ts';
import type { Outcome } from './outcome.ts';
import type { Primitives } from './primitives.ts';

/** A key that may sign notes, under a name without spaces or plus signs. */
export interface NoteKey {
  readonly name: string;
  readonly publicKey: Uint8Array;
}

export interface OpenedNote {
  /** The signed text, its last line feed included. */
  readonly text: string;
  /** The trusted keys whose signatures stand; at least one. */
  readonly signedBy: readonly NoteKey[];
}

const TYPE_ED25519 = 0x01;
const LARGEST_NOTE = 1024 * 1024;
const MOST_SIGNATURES = 64;
// eslint-disable-next-line no-control-regex -- the control characters that a note may not hold
const CONTROL = /[\u0000-\u0009\u000b-\u001f]/;
const SIGNATURE_LINE = /^— (\S+) ([A-Za-z0-9+/]+={0,2})$/u;

export function isNoteName(name: string): boolean {
  return name !== '' && !/[\s+]/u.test(name) && !CONTROL.test(name);
}

/** First four bytes of SHA-256(name ‖ LF ‖ 0x01 ‖ public key). */
export function noteKeyId(key: NoteKey, primitives: Pick<Primitives, 'sha256'>): Uint8Array {
  const head = utf8(`${key.name}\n`);
  return primitives.sha256(joined(head, new Uint8Array([TYPE_ED25519]), key.publicKey)).slice(0, 4);
}

/** The one-line spelling of a note key that other tools take: name+id+key. */
export function noteKeyText(key: NoteKey, primitives: Pick<Primitives, 'sha256'>): string {
  const encoded = base64(joined(new Uint8Array([TYPE_ED25519]), key.publicKey));
  return `${key.name}+${hex(noteKeyId(key, primitives))}+${encoded}`;
}

/** Reads the one-line spelling; the id must be that of the key. */
export function readNoteKey(
  text: string,
  primitives: Pick<Primitives, 'sha256'>,
): Outcome<NoteKey> {
  const [name = '', id, ...rest] = text.split('+');
  // The key's own Base 64 may hold plus signs.
  const bytes = fromBase64(rest.join('+'));
  if (bytes?.length !== 33 || bytes[0] !== TYPE_ED25519 || !isNoteName(name)) {
    return flawed('bad-note', 'A note key is written as name, id and key with plus signs between.');
  }
  const checked = checkedKey(bytes.slice(1));
  if (!checked.ok) return checked;
  const key = { name, publicKey: checked.value };
  if (hex(noteKeyId(key, primitives)) === id) return good(key);
  return flawed('bad-note', `The id in the note key of “${name}” is not that of its key.`);
}

/** Signs a text that ends in a line feed and holds no other control character. */
export async function signNote(
  text: string,
  key: NoteKey,
  sign: (message: Uint8Array) => Uint8Array | Promise<Uint8Array>,
  primitives: Pick<Primitives, 'sha256'>,
): Promise<Outcome<string>> {
  if (!text.endsWith('\n') || CONTROL.test(text) || /\p{Surrogate}/u.test(text)) {
    return flawed(
      'bad-note',
      'A note is text without control characters that ends in a line feed.',
    );
  }
  if (!isNoteName(key.name)) {
    return flawed('bad-note', 'The name of a note key has no spaces and no plus sign.');
  }
  const signature = await sign(utf8(text));
  const line = `— ${key.name} ${base64(joined(noteKeyId(key, primitives), signature))}\n`;
  return good(`${text}\n${line}`);
}

interface SignatureLine {
  readonly name: string;
  readonly id: Uint8Array;
  readonly signature: Uint8Array;
}

/** Splits a note into text and signatures, for its form only. */
function readNote(
  note: Uint8Array,
): Outcome<{ readonly text: string; readonly lines: readonly SignatureLine[] }> {
  const whole = note.length > LARGEST_NOTE ? null : textOf(note);
  if (whole === null || CONTROL.test(whole)) {
    return flawed(
      'bad-note',
      'The note is not UTF-8 text without control characters, up to 1 MiB.',
    );
  }
  const cut = whole.lastIndexOf('\n\n');
  const tail = whole.slice(cut + 2);
  if (cut === -1 || tail === '' || !tail.endsWith('\n')) {
    return flawed('bad-note', 'The note has no signatures after an empty line.');
  }
  const lines: SignatureLine[] = [];
  for (const line of tail.slice(0, -1).split('\n')) {
    const found = SIGNATURE_LINE.exec(line);
    const bytes = found === null ? null : fromBase64(found[2] ?? '');
    const name = found?.[1] ?? '';
    if (bytes === null || bytes.length < 5 || !isNoteName(name)) {
      return flawed('bad-note', `This is not a signature line of a note: “${line.slice(0, 80)}”.`);
    }
    lines.push({ name, id: bytes.subarray(0, 4), signature: bytes.subarray(4) });
  }
  if (lines.length > MOST_SIGNATURES) {
    return flawed('bad-note', `The note has ${lines.length} signatures; at most 64 are read.`);
  }
  return good({ text: whole.slice(0, cut + 1), lines });
}

/**
 * Opens a note signed by at least one of the trusted keys. Signatures of unknown keys are ignored; one
 * bad signature under a trusted key refuses the whole note.
 */
export async function openNote(
  note: Uint8Array,
  trusted: readonly NoteKey[],
  primitives: Pick<Primitives, 'sha256' | 'verify'>,
): Promise<Outcome<OpenedNote>> {
  const read = readNote(note);
  if (!read.ok) return read;
  const { text, lines } = read.value;
  const message = utf8(text);
  const signedBy: NoteKey[] = [];
  for (const { name, id, signature } of lines) {
    const key = trusted.find(
      (one) => one.name === name && sameBytes(noteKeyId(one, primitives), id),
    );
    if (key === undefined) continue;
    if (!(await verifyStrictly(primitives, key.publicKey, message, signature))) {
      return flawed(
        'bad-signature',
        `The signature of “${name}” does not fit the text of the note.`,
      );
    }
    if (!signedBy.includes(key)) signedBy.push(key);
  }
  if (signedBy.length === 0) {
    const names = lines.map(({ name }) => name).join(', ');
    return flawed(
      'unknown-signer',
      `The note is signed by ${names}, and none of these is trusted.`,
    );
  }
  return good({ text, signedBy });
}
