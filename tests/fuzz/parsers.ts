/**
 * Every parser of what comes from outside, as one shape: bytes in, "accepted" or "refused" out. A parser
 * that throws has failed, whatever it was given.
 */
import { readFileSync } from 'node:fs';
import { readBagInfo } from '#lib/core/bag/bag-info.ts';
import { readManifest } from '#lib/core/bag/bagit.ts';
import { readKeyList, readTrust } from '#lib/core/bag/keys.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { parseQuantity } from '#lib/core/measure/quantity.ts';
import { readCheckpoint } from '#lib/core/record/checkpoint.ts';
import { readDisclosure } from '#lib/core/record/disclosures.ts';
import { openNote } from '#lib/core/record/notes.ts';
import { readReceipt } from '#lib/core/record/receipt.ts';
import { readLine } from '#lib/core/record/sealed.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { metadataIn } from '#lib/device/photos.ts';
import { readBatch } from '#lib/server/ingest/batch.ts';
import { bag, fresh, logKey, origin, receiptOf, sealed, trust } from '../support/attack-scene.ts';

export type Heard = 'accepted' | 'refused';

export interface Parser {
  readonly name: string;
  /** Inputs that are accepted, to begin from. */
  readonly seeds: readonly Uint8Array[];
  read(bytes: Uint8Array): Heard | Promise<Heard>;
}

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const text = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
const file = (path: string): Uint8Array => readFileSync(new URL(path, import.meta.url));
const heard = (ok: boolean): Heard => (ok ? 'accepted' : 'refused');
const inBag = (path: string): Uint8Array => fresh.get(path) ?? new Uint8Array();

const commands = [
  '{"command":"do","at":"2026-11-25T10:42:07.120-05:00","mono":4152231,"by":"mara","step":"count","result":{"sources":2}}',
  '{"command":"open","at":"2026-11-25T10:42:07-05:00","mono":1,"by":"mara","site":"Bench 4","people":[{"id":"mara","competence":["electrical"]}],"instruments":[{"id":"T-7","category":"CAT III","volts":"600","percent":"0.5","counts":3,"due":"2027-03-01"}]}',
  '{"command":"park","at":"2026-11-25T10:42:07Z","mono":9,"boot":"k3","by":"mara","as":"shut","told":"owner"}',
].map(utf8);

/** The first segments of a JPEG (ITU-T T.81 annex B, JFIF 1.02). */
const jfif = [0xff, 0xd8, 0xff, 0xe0, 0, 16, 0x4a, 0x46, 0x49, 0x46, 0, 1, 2, 0, 0, 1, 0, 1, 0, 0];
const receipt = await receiptOf(5);
const checkpoint = text(receipt).split('\n\n').slice(1).join('\n\n');

export const PARSERS: readonly Parser[] = [
  {
    name: 'checklist',
    seeds: [
      file('../support/checklists/bench-lamp.yaml'),
      file('../../checklists/microwave-no-heat.yaml'),
    ],
    read: (bytes) => heard(loadChecklist(text(bytes)).ok),
  },
  {
    name: 'entry',
    seeds: sealed.slice(0, 6).map(({ line }) => line),
    read: (bytes) => heard(readLine(bytes, nodePrimitives).ok),
  },
  {
    name: 'command',
    seeds: commands,
    read: (bytes) => {
      let json: unknown;
      try {
        json = JSON.parse(text(bytes));
      } catch {
        return 'refused';
      }
      return heard(parseCommand(json).ok);
    },
  },
  {
    name: 'bag',
    seeds: [bag],
    read: async (bytes) => heard((await verifyBag(bytes, trust, nodePrimitives)).ok),
  },
  {
    name: 'note',
    seeds: [utf8(checkpoint), inBag('tagmanifest-sha256.txt.note')],
    read: async (bytes) =>
      heard(
        (await openNote(bytes, [{ name: origin, publicKey: logKey.publicKey }], nodePrimitives)).ok,
      ),
  },
  {
    name: 'checkpoint',
    seeds: [utf8(checkpoint.split('\n\n')[0] + '\n')],
    read: (bytes) => heard(readCheckpoint(text(bytes)).ok),
  },
  { name: 'receipt', seeds: [receipt], read: (bytes) => heard(readReceipt(bytes).ok) },
  {
    name: 'disclosure',
    seeds: text(inBag('data/disclosures.jsonl'))
      .split('\n')
      .filter(Boolean)
      .map((line) => utf8((JSON.parse(line) as { disclosure: string }).disclosure)),
    read: (bytes) => heard(readDisclosure(text(bytes), nodePrimitives).ok),
  },
  {
    name: 'keys',
    seeds: [inBag('data/keys.json')],
    read: (bytes) => heard(readKeyList(bytes, nodePrimitives).ok),
  },
  {
    name: 'trust',
    seeds: [inBag('data/keys.json')],
    read: (bytes) => heard(readTrust(bytes, nodePrimitives).ok),
  },
  {
    name: 'bag-info',
    seeds: [inBag('bag-info.txt')],
    read: (bytes) => heard(typeof readBagInfo(text(bytes)) !== 'string'),
  },
  {
    name: 'manifest',
    seeds: [inBag('manifest-sha256.txt')],
    read: (bytes) => heard(typeof readManifest(text(bytes)) !== 'string'),
  },
  {
    name: 'batch',
    seeds: [inBag('data/record.jsonl')],
    read: (bytes) => heard(readBatch(bytes).ok),
  },
  {
    name: 'quantity',
    seeds: ['0.47 Ω', '>= 1 MΩ', '-3.2 kV', '120 V', '1.5e3 ohm', '20 °C'].map(utf8),
    read: (bytes) => heard(parseQuantity(text(bytes)).ok),
  },
  {
    name: 'photo segments',
    seeds: [new Uint8Array([...jfif, 0xff, 0xdb, 0, 3, 0, 0xff, 0xda, 0, 2, 1, 2, 3, 0xff, 0xd9])],
    read: (bytes) => heard(metadataIn(bytes) === null),
  },
];
