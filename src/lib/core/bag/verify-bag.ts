/**
 * The verifier: an evidence bag in, every check with where and why out.
 *
 * Independent of the engine: what may happen is judged by the safety properties over the recorded
 * events, never by `decide`. No clock, no network, no trust of its own: whom to believe is an argument.
 * Untrusted: the archive and everything in it.
 */
import { good } from '../record/outcome.ts';
import type { Outcome } from '../record/outcome.ts';
import type { Primitives } from '../record/primitives.ts';
import type { BagFile } from './bag-file.ts';
import type { Digested } from './bagit.ts';
import { checkBag, checkManifest } from './checks/container.ts';
import { checkClock } from './checks/clock.ts';
import { checkChecklist, checkDisclosures, checkPhotos } from './checks/contents.ts';
import { checkEnd } from './checks/end.ts';
import { checkFront } from './checks/front.ts';
import { checkKeys } from './checks/keys.ts';
import { checkChain, checkForm, checkOrder, checkSignatures } from './checks/record.ts';
import { checkSafety } from './checks/safety.ts';
import { checkReceipts, checkTimestamps } from './checks/witnesses.ts';
import type { TokenCheck } from './checks/witnesses.ts';
import { digestOf, examined } from './examined.ts';
import type { Examined } from './examined.ts';
import type { KeyList } from './keys.ts';
import { CHECK_IDS, failure, held, judged, notRun, remark } from './report.ts';
import type { Check, CheckId, FixedFindingCode, SafetyCheckId, Verdict } from './report.ts';
import { sourceOf } from './source.ts';
import type { ByteSource } from './source.ts';
import { summaryOf } from './summary.ts';
import type { BagReport } from './summary.ts';
import { BrokenContent, contentsOf, openArchive } from './zip-reader.ts';
import type { Archive } from './zip-reader.ts';

export interface VerifyOptions {
  /** Checks RFC 3161 tokens, where the shell can. */
  readonly checkToken?: TokenCheck;
  /** Called with bytes read and bytes in all, after each piece. */
  readonly progress?: (done: number, all: number) => void;
  /** Replaces single checks; for tests that must show that each of them matters. */
  readonly checks?: Partial<Checks>;
}

type Run = (bag: Examined, options: VerifyOptions) => Verdict | Promise<Verdict>;

/** `archive` is judged apart, before there is a bag; the safety checks all at once. */
type Checks = Readonly<Record<Exclude<CheckId, 'archive'>, Run>>;

const CHECKS: Omit<Checks, SafetyCheckId> = {
  bag: checkBag,
  manifest: checkManifest,
  keys: checkKeys,
  'record.form': checkForm,
  'record.order': checkOrder,
  'record.chain': checkChain,
  'record.signatures': checkSignatures,
  'record.clock': checkClock,
  'record.end': checkEnd,
  checklist: checkChecklist,
  photos: checkPhotos,
  disclosures: checkDisclosures,
  receipts: checkReceipts,
  timestamps: (bag, { checkToken }) => checkTimestamps(bag, checkToken),
  front: checkFront,
};

/**
 * Verifies an archive.
 * @param trust whose keys, logs and authorities to believe; null when the reader has no such list
 */
export async function verifyBag(
  archive: Uint8Array | ByteSource,
  trust: KeyList | null,
  primitives: Primitives,
  options: VerifyOptions = {},
): Promise<BagReport> {
  const source = archive instanceof Uint8Array ? sourceOf(archive) : archive;
  const opened = await openArchive(source);
  if (!opened.ok) return withoutBag('archive-bad', opened.flaw.says);
  const files = filesOf(source, opened.value, primitives);
  if (!files.ok) return withoutBag('archive-folder', files.flaw.says);
  const says = `${files.value.length} files, none hidden, climbing, doubled or inflated beyond its header.`;
  const repacked = remark(
    'archive-repacked',
    'The archive was packed again by another program since it was exported. What is in it is judged by its digests.',
  );
  const judgedArchive = held(says, opened.value.asWritten ? [] : [repacked]);
  return verifyFiles(files.value, judgedArchive, trust, primitives, options);
}

/**
 * Verifies the files of a bag that somebody has unpacked; paths are relative to its folder. There is no
 * archive to judge then.
 */
export function verifyUnpacked(
  files: readonly BagFile[],
  trust: KeyList | null,
  primitives: Primitives,
  options: VerifyOptions = {},
): Promise<BagReport> {
  const archive = notRun('Not run: the bag was unpacked already.');
  return verifyFiles(files, archive, trust, primitives, options);
}

async function verifyFiles(
  files: readonly BagFile[],
  archive: Verdict,
  trust: KeyList | null,
  primitives: Primitives,
  options: VerifyOptions,
): Promise<BagReport> {
  const all = files.reduce((sum, { size }) => sum + size, 0);
  let done = 0;
  const progress = (bytes: number): void => options.progress?.((done += bytes), all);
  const digested = new Map<string, Digested>();
  for (const file of files) {
    try {
      const read = await digestOf(file.path, file, primitives, progress);
      if (!read.ok) return withoutBag('archive-long', read.flaw.says);
      digested.set(file.path, read.value);
    } catch (error) {
      if (error instanceof BrokenContent) return withoutBag('archive-content', error.message);
      throw error;
    }
  }
  const bag = await examined(digested, trust, primitives);
  return summaryOf(bag, await judgedAll(bag, archive, options));
}

async function judgedAll(
  bag: Examined,
  archive: Verdict,
  options: VerifyOptions,
): Promise<readonly Check[]> {
  // Signatures take most of the time, on other threads where there are any: begun before all else.
  const check = options.checks?.['record.signatures'] ?? CHECKS['record.signatures'];
  const signatures = Promise.resolve(check(bag, options));
  const runs: Checks = {
    ...Object.fromEntries([...checkSafety(bag)].map(([id, verdict]) => [id, () => verdict])),
    ...CHECKS,
    ...options.checks,
  } as Checks;
  const verdicts = new Map<CheckId, Verdict>([['archive', archive]]);
  for (const [id, run] of Object.entries(runs)) {
    const verdict = id === 'record.signatures' ? signatures : run(bag, options);
    verdicts.set(id as CheckId, await verdict);
  }
  return CHECK_IDS.map((id) => ({ id, ...(verdicts.get(id) ?? notRun('Not run.')) }));
}

/** The report on what could not even be opened. */
function withoutBag(code: FixedFindingCode, says: string): BagReport {
  const archive = judged([failure(code, says)], '');
  const others = notRun('Not run: the archive could not be opened.');
  const checks = CHECK_IDS.map((id) => ({ id, ...(id === 'archive' ? archive : others) }));
  return summaryOf(null, checks);
}

/** The files inside the one folder of an archive. */
function filesOf(
  source: ByteSource,
  archive: Archive,
  primitives: Primitives,
): Outcome<readonly BagFile[]> {
  const folders = new Set(archive.files.map(({ name }) => name.split('/', 1)[0] ?? ''));
  const loose = archive.files.some(({ name }) => !name.includes('/'));
  if (folders.size !== 1 || loose) {
    const says = `A bag is one folder, and this archive has ${folders.size} at its top${loose ? ', with loose files' : ''}.`;
    return { ok: false, flaw: { code: 'bad-encoding', says } };
  }
  const files = archive.files
    .filter(({ name }) => !name.endsWith('/'))
    .map((file): BagFile => {
      const path = file.name.slice(file.name.indexOf('/') + 1);
      return { path, size: file.size, open: () => contentsOf(source, file, primitives) };
    });
  return good(files);
}
