/** `bag` and `manifest`: is this a whole bag of this format, unchanged since it was sealed, and by whom? */
import { sameBytes, utf8 } from '../../record/bytes.ts';
import { openNote } from '../../record/notes.ts';
import { BAG_FORMAT } from '../bag-info.ts';
import {
  ALGORITHMS,
  manifestFindings,
  manifestPath,
  structureFindings,
  tagManifestPath,
} from '../bagit.ts';
import type { BagFiles } from '../bagit.ts';
import type { Examined } from '../examined.ts';
import { ALWAYS, FRONT, HOW_TO_CHECK, placeOf } from '../layout.ts';
import { failure, judged, notRun, remark } from '../report.ts';
import type { Finding, Verdict } from '../report.ts';
import { NOTE, noteKeyOf } from '../sealed-by.ts';

const TAGS: readonly string[] = [
  'bagit.txt',
  'bag-info.txt',
  ...ALGORITHMS.map(manifestPath),
  ...ALGORITHMS.map(tagManifestPath),
  NOTE,
];

export function checkBag(bag: Examined): Verdict {
  const { files, info } = bag;
  const findings = [...structureFindings(files), ...layoutFindings(files)];
  if (typeof info === 'string') {
    findings.push(failure('bag-info', `bag-info.txt cannot be used: ${info}.`, 'bag-info.txt'));
  } else {
    const payload = [...files].filter(([path]) => path.startsWith('data/'));
    const octets = payload.reduce((sum, [, { size }]) => sum + size, 0);
    if (octets !== info.octets || payload.length !== info.streams) {
      findings.push(
        failure(
          'bag-size',
          `The bag was sealed with ${info.streams} files of ${info.octets} bytes, and has ${payload.length} of ${octets}.`,
          'bag-info.txt',
        ),
      );
    }
    findings.push(...recordFindings(bag, info));
    if (info.demonstration) {
      findings.push(remark('demonstration', 'This is a demonstration, about no real machine.'));
    }
  }
  return judged(findings, `A BagIt 1.0 bag of format ${BAG_FORMAT} with ${files.size} files.`);
}

function layoutFindings(files: BagFiles): Finding[] {
  const wanted = [...TAGS, ...[...ALWAYS, FRONT, HOW_TO_CHECK].map((path) => `data/${path}`)];
  const missing = wanted
    .filter((path) => !files.has(path))
    .map((path) => failure('file-missing', `The bag has no ${path}.`, path));
  const strange = [...files.keys()]
    .filter((path) =>
      path.startsWith('data/') ? placeOf(path.slice(5)) === null : !TAGS.includes(path),
    )
    .map((path) =>
      failure('file-strange', `“${path}” has no place in a bag of this format.`, path),
    );
  return [...missing, ...strange];
}

function recordFindings(
  { sealed, events }: Examined,
  info: Exclude<Examined['info'], string>,
): Finding[] {
  const last = sealed?.at(-1);
  if (sealed === null || last === undefined) return [];
  const findings: Finding[] = [];
  if (last.entry.job !== info.job) {
    findings.push(
      failure(
        'bag-other-job',
        `The bag is named for job ${info.job}, the record is of ${last.entry.job}.`,
        'bag-info.txt',
      ),
    );
  }
  if (sealed.length !== info.entries || last.hash !== info.head) {
    findings.push(
      failure(
        'bag-other-record',
        `The bag was sealed over a record of ${info.entries} entries that ends otherwise than this one of ${sealed.length}.`,
        'bag-info.txt',
      ),
    );
  }
  const opened = events[0]?.ok ? events[0].value : undefined;
  if (opened?.type === 'job.opened' && opened.body.demo !== info.demonstration) {
    findings.push(
      failure(
        'bag-demonstration',
        'The bag and the record disagree whether this is a demonstration.',
        'bag-info.txt',
      ),
    );
  }
  return findings;
}

export async function checkManifest(bag: Examined): Promise<Verdict> {
  const { files } = bag;
  const missing = [...ALGORITHMS.map(manifestPath), ...ALGORITHMS.map(tagManifestPath), NOTE]
    .filter((path) => !files.has(path))
    .map((path) => failure('manifest-missing', `There is no ${path}.`, path));
  const findings = [...missing, ...manifestFindings(files), ...(await noteFindings(bag))];
  return judged(
    findings,
    'Every file has the SHA-256 and the SHA-512 it was sealed with, and the seal is signed.',
  );
}

async function noteFindings(bag: Examined): Promise<Finding[]> {
  const { files, info, keys, primitives } = bag;
  const note = files.get(NOTE)?.bytes;
  const sealed = files.get(tagManifestPath('sha256'))?.bytes;
  if (note === null || note === undefined || sealed === null || sealed === undefined) return [];
  const signers = keys.ok ? keys.value.keys.map(noteKeyOf) : [];
  const opened = await openNote(note, signers, primitives);
  if (!opened.ok) return [failure('seal-bad', `The seal does not hold. ${opened.flaw.says}`, NOTE)];
  if (!sameBytes(utf8(opened.value.text), sealed)) {
    return [failure('seal-other', 'The seal was made over another tag manifest.', NOTE)];
  }
  const expected = typeof info === 'string' ? undefined : info.sealedBy;
  const names = opened.value.signedBy.map(({ name }) => name);
  if (expected !== undefined && !names.some((name) => name.endsWith(`/${expected}`))) {
    return [failure('seal-other-key', 'The seal is not by the key that bag-info.txt names.', NOTE)];
  }
  return [];
}

export function unreadable(what: string): Verdict {
  return notRun(`Not run: ${what} could not be read.`);
}
