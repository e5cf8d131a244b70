/** What is withheld is in no byte of a bag, whichever way the bytes are read. */
import { expect, it } from 'vitest';
import { getDocumentProxy } from 'unpdf';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { verifyBag } from '#lib/core/bag/verify-bag.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { inflateSync } from 'node:zlib';
import { pdfOfFront } from '../../../../src/cli/paper.ts';
import { lampPieces, packed, trusted } from '../../../support/a-bag.ts';
import { takenApart } from '../../../support/attacker.ts';

const ADDRESS = '4 Larch Lane, flat 2';

/** The address as programs write it: in every part that says where somebody lives. */
const forms = [ADDRESS, '4 Larch Lane', 'Larch Lane', 'Larch'].flatMap((text) => {
  const utf16 = Buffer.from(text, 'utf16le');
  const percent = encodeURIComponent(text);
  return [
    Buffer.from(text),
    utf16,
    Buffer.from(utf16).swap16(),
    Buffer.from(percent),
    Buffer.from(percent.replaceAll('%20', '+')),
    Buffer.from(Buffer.from(text).toString('hex')),
    Buffer.from(Buffer.from(text).toString('hex').toUpperCase()),
    Buffer.from(Buffer.from(utf16).swap16().toString('hex')),
    Buffer.from([...text].map((sign) => `&#${sign.codePointAt(0)};`).join('')),
    Buffer.from([...text].map((sign) => `\\u00${sign.charCodeAt(0).toString(16)}`).join('')),
  ];
});
/** In Base 64 three bytes make four signs, so a text looks one of three ways; its ends depend on what is beside it. */
const encoded = [0, 1, 2].map((shift) => {
  const text = Buffer.from(`${'x'.repeat(shift)}Larch Lane`).toString('base64');
  return Buffer.from(text.slice(4, -4));
});

/** What stands in the streams of a PDF once they are unpacked. */
function streamsOf(pdf: Buffer): Buffer[] {
  const streams: Buffer[] = [];
  for (let at = pdf.indexOf('stream\n'); at !== -1; at = pdf.indexOf('stream\n', at + 7)) {
    const before = pdf.subarray(Math.max(0, at - 3), at).toString('latin1');
    const end = pdf.indexOf('endstream', at);
    if (before === 'end' || end === -1) continue;
    const head = pdf.subarray(Math.max(0, at - 200), at).toString('latin1');
    const body = pdf.subarray(at + 7, end);
    streams.push(/FlateDecode[^<]*$/.test(head) ? inflateSync(body) : body);
  }
  return streams;
}

async function textOf(pdf: Uint8Array): Promise<string> {
  const document = await getDocumentProxy(new Uint8Array(pdf));
  const texts: string[] = [];
  for (let number = 1; number <= document.numPages; number += 1) {
    const { items } = await (await document.getPage(number)).getTextContent();
    texts.push(items.map((item) => ('str' in item ? item.str : '')).join(''));
  }
  return texts.join('\n');
}

/** Every place where the address can be read in a bag: the archive, its files, what is packed in them. */
async function placesOf(bag: Uint8Array): Promise<string[]> {
  const contents = await takenApart(bag);
  const pdf = Buffer.from(contents.get('data/front.pdf') ?? '');
  const read: (readonly [string, Buffer])[] = [
    ['the archive', Buffer.from(bag)],
    ...[...contents].map(([path, bytes]) => [path, Buffer.from(bytes)] as const),
    ...streamsOf(pdf).map((bytes, at) => [`front.pdf stream ${at}`, bytes] as const),
    ['front.pdf text', Buffer.from(await textOf(pdf))],
  ];
  return read.flatMap(([place, bytes]) =>
    [...forms, ...encoded].some((form) => bytes.includes(form)) ? [place] : [],
  );
}

const bagWith = async (withhold?: readonly string[]): Promise<Uint8Array> =>
  packed(recordFolderFiles(await lampPieces()), {
    pdf: pdfOfFront,
    ...(withhold === undefined ? {} : { withhold }),
  });

it('a withheld address is nowhere, and the bag verifies', async () => {
  // The same search finds it wherever it stands when it is not withheld.
  const places = await placesOf(await bagWith());
  for (const place of ['data/disclosures.jsonl', 'data/front.html', 'front.pdf text']) {
    expect(places).toContain(place);
  }
  const bag = await bagWith(['site']);
  expect(await placesOf(bag)).toEqual([]);
  const report = await verifyBag(bag, trusted, nodePrimitives);
  expect(report.checks.filter(({ status }) => status === 'failed')).toEqual([]);
  expect(report.findings.map(({ code }) => code)).toContain('withheld');
});
