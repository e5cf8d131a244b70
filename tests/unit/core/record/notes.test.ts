import { describe, expect, it } from 'vitest';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { fromBase64, hex, textOf, utf8 } from '#lib/core/record/bytes.ts';
import {
  checkpointText,
  decimalOf,
  openCheckpoint,
  readCheckpoint,
  signCheckpoint,
} from '#lib/core/record/checkpoint.ts';
import { noteKeyId, noteKeyText, openNote, signNote } from '#lib/core/record/notes.ts';
import type { NoteKey } from '#lib/core/record/notes.ts';
import { openReceipt, readReceipt, receiptText } from '#lib/core/record/receipt.ts';
import { inclusionProof, leafHash, rootAt, treeOf } from '#lib/core/record/tree.ts';
import { maraKey, tomasKey } from '../../../support/a-record.ts';

// The example of golang.org/x/mod/sumdb/note: verifier key, text and signed note.
const peter: NoteKey = {
  name: 'PeterNeumann',
  publicKey: (
    fromBase64('ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW') ?? new Uint8Array()
  ).subarray(1),
};
const peterText =
  "If you think cryptography is the answer to your problem,\nthen you don't know what your problem is.\n";
const peterNote = `${peterText}\n— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM=\n`;

const mara: NoteKey = { name: 'export.example/mara', publicKey: maraKey.publicKey };
const open = async (note: string | Uint8Array, keys = [mara]): Promise<string> => {
  const opened = await openNote(typeof note === 'string' ? utf8(note) : note, keys, nodePrimitives);
  return opened.ok
    ? `by ${opened.value.signedBy.map(({ name }) => name).join()}`
    : opened.flaw.code;
};
const signed = async (text: string, key: NoteKey = mara, sign = maraKey.sign): Promise<string> => {
  const note = await signNote(text, key, sign, nodePrimitives);
  if (!note.ok) throw new Error(note.flaw.says);
  return note.value;
};
const byMara = await signed('one\n\ntwo\n');

describe('signed notes', () => {
  it('open the published example with its published key', async () => {
    expect(hex(noteKeyId(peter, nodePrimitives))).toBe('c74f20a3');
    expect(noteKeyText(peter, nodePrimitives)).toBe(
      'PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW',
    );
    expect(await open(peterNote, [peter])).toBe('by PeterNeumann');
  });

  it('keep the empty lines of their text', async () => {
    const opened = await openNote(utf8(byMara), [mara], nodePrimitives);
    expect(opened).toMatchObject({ ok: true, value: { text: 'one\n\ntwo\n' } });
  });

  it('ignore the signatures of unknown keys, and are refused with none that is known', async () => {
    const tomas: NoteKey = { name: 'export.example/tomas', publicKey: tomasKey.publicKey };
    const both = byMara + (await signed('one\n\ntwo\n', tomas, tomasKey.sign)).split('\n\n').at(-1);
    expect(await open(both, [mara])).toBe('by export.example/mara');
    expect(await open(both, [mara, tomas])).toBe('by export.example/mara,export.example/tomas');
    expect(await open(both, [peter])).toBe('unknown-signer');
    expect(await open(byMara, [{ ...mara, publicKey: tomasKey.publicKey }])).toBe('unknown-signer');
  });

  it('are refused whole when a known key has a bad signature', async () => {
    const spoilt = byMara.replace('two', 'too');
    expect(await open(spoilt)).toBe('bad-signature');
  });

  it('can be changed in no byte', async () => {
    const bytes = utf8(byMara);
    for (let at = 0; at < bytes.length; at += 1) {
      const changed = bytes.slice();
      changed[at] = (changed[at] ?? 0) ^ 1;
      expect(await open(changed), `byte ${at}`).not.toMatch(/^by/);
    }
  });

  it.each([
    ['no signature', 'one\n'],
    ['no empty line', byMara.replace('two\n\n', 'two\n')],
    ['no line feed at the end', byMara.slice(0, -1)],
    ['a hyphen for the dash', byMara.replace('—', '-')],
    ['two spaces', byMara.replace('— ', '—  ')],
    ['a tab in the text', byMara.replace('one', 'o\tne')],
    ['a carriage return', byMara.replaceAll('\n', '\r\n')],
    ['a signature of four bytes', 'one\n\n— a AAAAAA==\n'],
    ['Base 64 with bits left over', byMara.replace(/.=\n$/, 'B=\n')],
    ['a plus in a name', byMara.replace('mara ', 'ma+ra ')],
    ['65 signatures', byMara + byMara.split('\n\n').at(-1)?.repeat(64)],
  ])('are refused with %s', async (_, note) => {
    expect(await open(note)).toMatch(/^(bad-note|unknown-signer)$/);
  });

  it('accept sixteen signatures and more', async () => {
    expect(await open(byMara + byMara.split('\n\n').at(-1)?.repeat(20))).toBe(
      'by export.example/mara',
    );
  });

  it('are not made over what they could not hold', async () => {
    for (const text of ['no line feed', 'a\tb\n', 'half \ud83d\n']) {
      expect((await signNote(text, mara, maraKey.sign, nodePrimitives)).ok).toBe(false);
    }
    const spaced = { ...mara, name: 'two words' };
    expect((await signNote('a\n', spaced, maraKey.sign, nodePrimitives)).ok).toBe(false);
  });
});

// A log of five leaves, kept by the key `tomas`.
const origin = 'log.example/crew1';
const log: NoteKey = { name: origin, publicKey: tomasKey.publicKey };
const leaves = [0, 1, 2, 3, 4].map((at) => leafHash(new Uint8Array([at]), nodePrimitives));
const tree = treeOf(leaves, nodePrimitives);
const root = rootAt(5, tree.nodeAt, nodePrimitives);
const note = await signCheckpoint(
  { origin, size: 5, root },
  tomasKey.publicKey,
  tomasKey.sign,
  nodePrimitives,
);
const checkpoint = note.ok ? note.value : '';

describe('checkpoints', () => {
  it('open to their origin, size and root', async () => {
    const opened = await openCheckpoint(utf8(checkpoint), [log], nodePrimitives);
    expect(opened).toMatchObject({ ok: true, value: { origin, size: 5, root } });
  });

  it('must be signed by the log itself', async () => {
    const other = await signed(checkpointText({ origin, size: 5, root }));
    const opened = await openCheckpoint(utf8(other), [mara, log], nodePrimitives);
    expect(opened).toMatchObject({ ok: false, flaw: { code: 'unknown-signer' } });
  });

  it.each([
    ['an extension line', `${checkpointText({ origin, size: 5, root })}more\n`],
    ['a leading zero', checkpointText({ origin, size: 5, root }).replace('\n5\n', '\n05\n')],
    ['no origin', checkpointText({ origin: '', size: 5, root })],
    ['a short root', checkpointText({ origin, size: 5, root: root.subarray(1) })],
    ['two lines', `${origin}\n5\n`],
  ])('are refused with %s', (_, text) => {
    expect(readCheckpoint(text).ok).toBe(false);
  });

  it('count up to 2^53 - 1 and no further', () => {
    expect(decimalOf('9007199254740991')).toBe(2 ** 53 - 1);
    for (const text of ['9007199254740992', '-1', '1.0', '1e3', '', '00', ' 1']) {
      expect(decimalOf(text)).toBeNull();
    }
  });
});

describe('receipts', () => {
  const leaf = leaves[3] ?? new Uint8Array();
  const text = receiptText(3, inclusionProof(3, 5, tree.nodeAt, nodePrimitives), checkpoint);
  const check = async (bytes: Uint8Array, of = leaf): Promise<string> => {
    const opened = await openReceipt(bytes, of, [log], nodePrimitives);
    return opened.ok
      ? `at ${opened.value.index} of ${opened.value.checkpoint.size}`
      : opened.flaw.code;
  };

  it('have the form of the format', () => {
    expect(text).toMatch(
      /^c2sp\.org\/tlog-proof@v1\nindex 3\n([A-Za-z0-9+/]{43}=\n){3}\nlog\.example\/crew1\n5\n/,
    );
  });

  it('lead from their entry to the signed tree, and from no other entry', async () => {
    expect(await check(utf8(text))).toBe('at 3 of 5');
    expect(await check(utf8(text), leaves[2])).toBe('bad-proof');
  });

  it('of another log prove nothing', async () => {
    const opened = await openReceipt(
      utf8(text),
      leaf,
      [{ ...log, name: 'log.example/other' }],
      nodePrimitives,
    );
    expect(opened).toMatchObject({ ok: false, flaw: { code: 'unknown-signer' } });
  });

  it('can be changed in no byte', async () => {
    const bytes = utf8(text);
    for (let at = 0; at < bytes.length; at += 1) {
      const changed = bytes.slice();
      changed[at] = (changed[at] ?? 0) ^ 1;
      expect(await check(changed), `byte ${at}: ${textOf(bytes.subarray(at, at + 1))}`).not.toMatch(
        /^at/,
      );
    }
  });

  it.each([
    ['an unsigned extra line', text.replace('\nindex', '\nextra AAAA\nindex')],
    ['another version', text.replace('@v1', '@v2')],
    ['no index', text.replace('index 3\n', '')],
    ['a leading zero', text.replace('index 3', 'index 03')],
    ['a hash of 31 bytes', text.replace(/\n[A-Za-z0-9+/]{43}=\n/, '\nAAAA\n')],
    [
      'a longer path than any tree has',
      receiptText(
        3,
        Array.from({ length: 60 }, () => root),
        checkpoint,
      ),
    ],
    ['70,000 bytes', text + ' '.repeat(70_000)],
  ])('are refused with %s', (_, spoilt) => {
    expect(readReceipt(utf8(spoilt)).ok).toBe(false);
  });
});
