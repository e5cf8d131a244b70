/**
 * Somebody who changes a bag and knows how bags are made: takes it apart, makes manifests and front page
 * again, and seals it with a key of their own.
 */
import { createHash } from 'node:crypto';
import { bagInfoText, readBagInfo } from '#lib/core/bag/bag-info.ts';
import { ALGORITHMS, manifestPath, manifestText, tagManifestPath } from '#lib/core/bag/bagit.ts';
import type { Digested } from '#lib/core/bag/bagit.ts';
import { frontInputOf } from '#lib/core/bag/checks/front.ts';
import { examined } from '#lib/core/bag/examined.ts';
import { frontBytes } from '#lib/core/bag/front/front-page.ts';
import { keyListBytes, readKeyList } from '#lib/core/bag/keys.ts';
import type { KnownKey } from '#lib/core/bag/keys.ts';
import { NOTE, noteKeyOf } from '#lib/core/bag/sealed-by.ts';
import { sourceOf } from '#lib/core/bag/source.ts';
import { contentsOf, openArchive } from '#lib/core/bag/zip-reader.ts';
import { joined, utf8 } from '#lib/core/record/bytes.ts';
import { signNote } from '#lib/core/record/notes.ts';
import { lineHash } from '#lib/core/record/sealed.ts';
import type { SealedEntry } from '#lib/core/record/sealed.ts';
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import { recordBytes } from './a-record.ts';
import { knownKey } from './a-bag.ts';
import { rawZip } from './raw-zip.ts';

export const attackerKey = keyOfSeed(new Uint8Array(32).fill(66));

/** Files by their path inside the folder of the bag. */
export type Contents = Map<string, Uint8Array>;

export async function takenApart(bag: Uint8Array): Promise<Contents> {
  const source = sourceOf(bag);
  const opened = await openArchive(source);
  if (!opened.ok) throw new Error(opened.flaw.says);
  const contents: Contents = new Map();
  for (const file of opened.value.files) {
    const parts: Uint8Array[] = [];
    for await (const bytes of contentsOf(source, file, {})) parts.push(bytes.slice());
    contents.set(file.name.slice(file.name.indexOf('/') + 1), joined(...parts));
  }
  return contents;
}

export function zipped(contents: Contents): Uint8Array {
  return rawZip([...contents].map(([path, content]) => ({ name: `bag/${path}`, content })));
}

export function withRecord(contents: Contents, sealed: readonly SealedEntry[]): void {
  contents.set('data/record.jsonl', recordBytes(sealed));
}

export function withKeys(contents: Contents, keys: readonly KnownKey[]): void {
  contents.set('data/keys.json', keyListBytes(keys));
}

const digest = (name: string, bytes: Uint8Array): string =>
  createHash(name).update(bytes).digest('hex');

function digested(contents: Contents): Map<string, Digested> {
  return new Map(
    [...contents].map(([path, bytes]) => [
      path,
      {
        size: bytes.length,
        sha256: digest('sha256', bytes),
        sha512: digest('sha512', bytes),
        bytes,
      },
    ]),
  );
}

/** Makes the front page again where the record can still be read. */
export async function refront(contents: Contents): Promise<void> {
  const bag = await examined(digested(contents), null, nodePrimitives);
  const input = frontInputOf(bag, 'en');
  if (input !== null) contents.set('data/front.html', frontBytes(input));
}

export interface Resealing {
  /** Changes bag-info.txt after it was brought up to date. */
  readonly info?: (text: string) => string;
  /** Does not add the attacker's key to the list of keys. */
  readonly unlisted?: boolean;
}

/** Brings everything around the contents up to date and seals it with the attacker's own key. */
export async function resealed(contents: Contents, wishes: Resealing = {}): Promise<Uint8Array> {
  const keys = readKeyList(contents.get('data/keys.json') ?? new Uint8Array(), nodePrimitives);
  if (keys.ok && wishes.unlisted !== true) {
    const others = keys.value.keys.filter(({ key }) => key !== attackerKey.key);
    withKeys(contents, [...others, knownKey(attackerKey, 'export', 'export')]);
  }
  updateInfo(contents, wishes);
  for (const algorithm of ALGORITHMS) list(contents, algorithm, manifestPath(algorithm), 'data/');
  for (const algorithm of ALGORITHMS) list(contents, algorithm, tagManifestPath(algorithm), '');
  const text = Buffer.from(contents.get(tagManifestPath('sha256')) ?? '').toString();
  const note = await signNote(text, noteKeyOf(attackerKey), attackerKey.sign, nodePrimitives);
  if (!note.ok) throw new Error(note.flaw.says);
  contents.set(NOTE, utf8(note.value));
  return zipped(contents);
}

function updateInfo(contents: Contents, { info = (text) => text }: Resealing): void {
  const old = readBagInfo(Buffer.from(contents.get('bag-info.txt') ?? '').toString());
  if (typeof old === 'string') return;
  const payload = [...contents].filter(([path]) => path.startsWith('data/'));
  const record = Buffer.from(contents.get('data/record.jsonl') ?? '');
  const lines = record.toString('latin1').split('\n').slice(0, -1);
  const last = Buffer.from(lines.at(-1) ?? '', 'latin1');
  const text = bagInfoText({
    ...old,
    entries: lines.length,
    head: lineHash(last, nodePrimitives),
    sealedBy: attackerKey.key,
    octets: payload.reduce((sum, [, bytes]) => sum + bytes.length, 0),
    streams: payload.length,
  });
  contents.set('bag-info.txt', utf8(info(text)));
}

function list(
  contents: Contents,
  algorithm: 'sha256' | 'sha512',
  path: string,
  below: string,
): void {
  const listed = [...contents].filter(([name]) =>
    below === ''
      ? !name.startsWith('data/') && !name.startsWith('tagmanifest-')
      : name.startsWith(below),
  );
  contents.set(
    path,
    utf8(manifestText(listed.map(([name, bytes]) => [name, digest(algorithm, bytes)]))),
  );
}
