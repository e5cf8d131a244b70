/**
 * BagIt 1.0 (RFC 8493): the tag files, and whether a set of files is a complete and valid bag.
 *
 * Untrusted: the text of every tag file. `fetch.txt` is refused: a bag that must be fetched is not here.
 */
import { textOf } from '../record/bytes.ts';
import { failure } from './report.ts';
import type { Finding } from './report.ts';
import { pathFlaw } from './zip-names.ts';

export const DECLARATION = 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n';
export const ALGORITHMS = ['sha256', 'sha512'] as const;
export type Algorithm = (typeof ALGORITHMS)[number];

/** What is known of a file once it was read through. */
export interface Digested {
  readonly size: number;
  /** Hex. */
  readonly sha256: string;
  /** Hex. */
  readonly sha512: string;
  /** The bytes of a tag file, and of any other file small enough to be held. */
  readonly bytes: Uint8Array | null;
}

/** The files of a bag by their path inside its folder. */
export type BagFiles = ReadonlyMap<string, Digested>;

export const manifestPath = (algorithm: Algorithm): string => `manifest-${algorithm}.txt`;
export const tagManifestPath = (algorithm: Algorithm): string => `tagmanifest-${algorithm}.txt`;

/** Lines of a manifest, sorted by path: digest, two spaces, path, as `sha256sum -c` reads them. */
export function manifestText(
  entries: readonly (readonly [path: string, digest: string])[],
): string {
  return [...entries]
    .sort(([one], [other]) => (one < other ? -1 : 1))
    .map(([path, digest]) => `${digest}  ${path}\n`)
    .join('');
}

const LINE = /^([0-9a-f]+)[ \t]+(\S.*)$/;

/** Reads a manifest: digest by path, or what is wrong with a line of it. */
export function readManifest(text: string): Map<string, string> | string {
  const listed = new Map<string, string>();
  const lines = text.split('\n');
  if (lines.pop() !== '') return 'its last line is not ended';
  for (const [at, line] of lines.entries()) {
    const found = LINE.exec(line);
    const path = found?.[2]?.replace(/^\*/, '');
    if (found?.[1] === undefined || path === undefined)
      return `line ${at + 1} is not digest and path`;
    const wrong = pathFlaw(path);
    if (wrong !== null) return `line ${at + 1}: the path ${wrong}`;
    if (listed.has(path)) return `line ${at + 1} lists “${path}” a second time`;
    listed.set(path, found[1]);
  }
  return listed;
}

/** The structure: declaration, no fetching, at least one manifest of a kind that is known here. */
export function structureFindings(files: BagFiles): Finding[] {
  const findings: Finding[] = [];
  const declared = textFile(files, 'bagit.txt');
  if (declared !== DECLARATION) {
    findings.push(
      failure(
        'bag-declaration',
        declared === null
          ? 'There is no readable bagit.txt, so this is not a BagIt bag.'
          : 'bagit.txt is not the two lines that declare a BagIt 1.0 bag in UTF-8.',
        'bagit.txt',
      ),
    );
  }
  if (files.has('fetch.txt')) {
    findings.push(
      failure(
        'bag-fetch',
        'The bag wants files to be fetched from elsewhere; none are.',
        'fetch.txt',
      ),
    );
  }
  if (!ALGORITHMS.some((algorithm) => files.has(manifestPath(algorithm)))) {
    findings.push(
      failure('bag-manifest-missing', 'The bag has no manifest by SHA-256 or SHA-512.'),
    );
  }
  if (![...files.keys()].some((path) => path.startsWith('data/'))) {
    findings.push(failure('bag-empty', 'The bag has no files under data/.'));
  }
  return findings;
}

/** Every manifest lists every payload file once, with the digest it has; so do the tag manifests. */
export function manifestFindings(files: BagFiles): Finding[] {
  return ALGORITHMS.flatMap((algorithm) => [
    ...listFindings(files, algorithm, manifestPath(algorithm), (path) => path.startsWith('data/')),
    ...listFindings(files, algorithm, tagManifestPath(algorithm), isListedTag),
  ]);
}

/** Tag manifests list no tag manifest (RFC 8493 section 2.2.1), and so not the note that signs one. */
function isListedTag(path: string): boolean {
  return !path.startsWith('data/') && !path.startsWith('tagmanifest-');
}

function listFindings(
  files: BagFiles,
  algorithm: Algorithm,
  manifest: string,
  belongs: (path: string) => boolean,
): Finding[] {
  if (!files.has(manifest)) return [];
  const text = textFile(files, manifest);
  const listed = text === null ? 'it is not UTF-8 text, or too long' : readManifest(text);
  if (typeof listed === 'string') {
    return [failure('manifest-form', `${manifest} cannot be used: ${listed}.`, manifest)];
  }
  const findings: Finding[] = [];
  for (const [path, digest] of listed) {
    const file = files.get(path);
    if (!belongs(path)) {
      findings.push(
        failure('manifest-scope', `${manifest} lists “${path}”, which it may not.`, path),
      );
    } else if (file === undefined) {
      findings.push(failure('file-missing', `“${path}” is listed and not in the bag.`, path));
    } else if (file[algorithm] !== digest) {
      findings.push(failure('file-changed', `“${path}” is not the file that was listed.`, path));
    }
  }
  for (const path of files.keys()) {
    if (belongs(path) && !listed.has(path)) {
      findings.push(
        failure('file-unlisted', `“${path}” is in the bag and ${manifest} does not list it.`, path),
      );
    }
  }
  return findings;
}

export function textFile(files: BagFiles, path: string): string | null {
  const bytes = files.get(path)?.bytes;
  return bytes === undefined || bytes === null ? null : textOf(bytes);
}
