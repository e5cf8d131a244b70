import { createHash } from 'node:crypto';
import {
  closeSync,
  fsyncSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import type { BagFile } from '../../lib/core/bag/bag-file.ts';
import { FRONT_LANGUAGES, type FrontLanguage } from '../../lib/core/bag/front/words.ts';
import { writeBag } from '../../lib/core/bag/write-bag.ts';
import { nodePrimitives, throwAwayKey } from '../../lib/crypto/node.ts';
import { readArguments } from '../arguments.ts';
import { fileOnDisk } from '../file-on-disk.ts';
import { pdfOfFront } from '../paper.ts';
import { programVersion, wallTime } from '../this-program.ts';
import { holds, Unusable, type Io, type Verb } from '../verb.ts';

/** Every file below a folder, paths with forward slashes. @throws Unusable */
function folderFiles(folder: string): BagFile[] {
  if (statSync(folder, { throwIfNoEntry: false })?.isDirectory() !== true) {
    throw new Unusable(`There is no folder ${folder} with a record in it.`);
  }
  return readdirSync(folder, { recursive: true, withFileTypes: true }).flatMap((item) => {
    if (item.isDirectory()) return [];
    const full = join(item.parentPath, item.name);
    if (!item.isFile())
      throw new Unusable(`${full} is a link or a device; a record folder has only files.`);
    const path = full.slice(join(folder, '/').length).replaceAll('\\', '/');
    return [fileOnDisk(path, full)];
  });
}

/** Writes beside the target and moves it there at the end: a bag is whole or not there. */
async function store(file: string, bytes: AsyncIterable<Uint8Array>, io: Io): Promise<string> {
  const part = `${file}.part`;
  const sum = createHash('sha256');
  let written = 0;
  try {
    const out = openSync(part, 'w');
    try {
      for await (const piece of bytes) {
        writeAll(out, piece);
        sum.update(piece);
        written += piece.length;
        io.progress(`${Math.floor(written / 2 ** 20)} MiB`);
      }
      fsyncSync(out);
    } finally {
      closeSync(out);
    }
    renameSync(part, file);
  } catch (error) {
    rmSync(part, { force: true });
    throw new Unusable(`${file} could not be written. ${(error as Error).message}`);
  }
  return sum.digest('hex');
}

/** A write may take less than it is given. */
function writeAll(out: number, bytes: Uint8Array): void {
  for (let at = 0; at < bytes.length;) at += writeSync(out, bytes, at);
}

function languageOf(text: string | undefined): FrontLanguage {
  const language = FRONT_LANGUAGES.find((one) => one === (text ?? 'en'));
  if (language === undefined) {
    throw new Unusable(
      `There is no front page in "${text}"; there are: ${FRONT_LANGUAGES.join(', ')}.`,
    );
  }
  return language;
}

/** Writes an evidence bag from a record folder. */
export default {
  summary: 'writes an evidence bag from a record folder',
  usage:
    'bag RECORD OUT.zip [--withhold FIELD]… [--withhold-photo SHA256]… [--language en|es] [--json]',
  example: 'stillwire bag my-record my-record.zip --withhold site',
  details: [
    '--withhold FIELD         leaves a private value out (site, name, name.mara, told, owner)',
    '--withhold-photo SHA256  leaves a photo out',
    '--language en|es         of the front page',
    'The bag is sealed with a key made for it, which is then in its list of keys.',
  ],
  async run(args, io) {
    const { positionals, values, json } = readArguments(args, {
      withhold: { type: 'string', multiple: true },
      'withhold-photo': { type: 'string', multiple: true },
      language: { type: 'string' },
    });
    const [folder, file, more] = positionals;
    if (folder === undefined || file === undefined || more !== undefined) {
      throw new Unusable('Give a record folder and the file to write: bag RECORD OUT.zip.');
    }
    const bag = await writeBag(
      folderFiles(folder),
      {
        exporter: { ...throwAwayKey(), person: 'export' },
        at: wallTime(new Date()),
        software: programVersion(),
        withhold: (values.withhold ?? []).flatMap((field) => field.split(',')),
        photos: (values['withhold-photo'] ?? []).map((sha256) => ({ sha256 })),
        language: languageOf(values.language),
        pdf: pdfOfFront,
      },
      nodePrimitives,
    );
    if (!bag.ok) throw new Unusable(`No bag was written from ${folder}. ${bag.flaw.says}`);
    const sha256 = await store(file, bag.value.bytes, io);
    if (json) io.printJson({ ok: true, file, sha256, name: bag.value.name });
    else io.print(`${file} holds the bag ${bag.value.name}.\nSHA-256 ${sha256}`);
    return holds;
  },
} satisfies Verb;
