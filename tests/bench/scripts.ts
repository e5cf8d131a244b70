/** The benches that are scripts of their own and print JSON, as rows like the others. */
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { Row } from './paired.ts';

function printed(file: string, ...args: readonly string[]): unknown {
  const path = fileURLToPath(new URL(file, import.meta.url));
  const { stdout, status } = spawnSync(process.execPath, ['--expose-gc', path, ...args], {
    maxBuffer: 1e9,
    // How far it is, and what went wrong, is said at once.
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  if (status !== 0) throw new Error(`${file} came to no end (exit status ${status}).`);
  return JSON.parse(stdout.toString());
}

interface IngestTold {
  readonly ratio: number;
  readonly ratios: readonly number[];
  readonly entriesPerSecond: number;
  readonly signaturesPerSecond: number;
  readonly microsecondsOfProcessor: { readonly signatures: number; readonly ingest: number };
  readonly bare: {
    readonly ratio: number;
    readonly ratios: readonly number[];
    readonly rowsPerSecond: number;
    readonly entriesACommit: number;
  };
}

/** Half of what lies between the second and the last but one, as a share of the median. */
const spreadOf = (sorted: readonly number[], ratio: number): number =>
  Number((((sorted.at(-2) ?? 0) - (sorted[1] ?? 0)) / 2 / ratio).toFixed(3));

const LEAST_SHARE = 0.8;

export function ingestRows(): Promise<Row[]> {
  const told = printed('ingest.ts', '--rounds', '5') as Readonly<
    Record<'sqlite' | 'postgres', IngestTold> & { goal: number; megabytes: number }
  >;
  const rows = (['sqlite', 'postgres'] as const).map((kind): Row => {
    const { ratio, ratios, entriesPerSecond, signaturesPerSecond, bare } = told[kind];
    const share = {
      to: 'signature checks alone',
      ratio,
      spread: spreadOf(ratios, ratio),
      goal: `at least ${LEAST_SHARE} of their rate`,
      met: ratio >= LEAST_SHARE,
    };
    const besideBare = {
      to: `bare inserts of its rows (${bare.entriesACommit} a commit)`,
      ratio: bare.ratio,
      spread: spreadOf(bare.ratios, bare.ratio),
      goal: 'a limit, no goal',
      met: null,
    };
    const ways = {
      ingest: { perSecond: entriesPerSecond, spread: share.spread },
      signatures: { perSecond: signaturesPerSecond, spread: share.spread },
      'bare inserts': { perSecond: bare.rowsPerSecond, spread: besideBare.spread },
    };
    const says = 'entries checked, stored, read back and signed for';
    const name = `ingest ${kind}`;
    return {
      name,
      says,
      units: 20_000,
      unit: 'entries',
      ways,
      ratios: [share, besideBare],
      megabytes: told.megabytes,
    };
  });
  return Promise.resolve(rows);
}

interface AuditTold {
  readonly slowest: number;
  readonly goalMs: number;
  readonly holds: boolean;
  readonly jobs: number;
  readonly entries: number;
  readonly megabytes: number;
  readonly questions: readonly {
    readonly name: string;
    readonly ms: number;
    readonly readMs: number;
    readonly rows: number;
    readonly msAtOneTenth?: number;
  }[];
}

export function auditRows(): Promise<Row[]> {
  const told = printed('audit.ts') as AuditTold;
  const { slowest, goalMs, jobs, entries, questions } = told;
  const grown = questions
    .filter(({ msAtOneTenth = 0 }) => msAtOneTenth >= 1)
    .map(({ ms, msAtOneTenth = 0 }) => ms / msAtOneTenth);
  const growth = Number(Math.max(0, ...grown).toFixed(2));
  const [first] = questions;
  return Promise.resolve([
    {
      name: 'audit',
      says: `${questions.length} questions of the office over ${jobs} jobs and ${entries} entries; the slowest: ${first?.name}`,
      units: questions.length,
      unit: 'questions',
      ways: Object.fromEntries(
        questions.map(({ name, ms }) => [name, { perSecond: Math.round(1000 / ms), spread: 0 }]),
      ),
      ratios: [
        {
          to: `${goalMs} ms (the slowest question: ${slowest} ms)`,
          ratio: Number((slowest / goalMs).toPrecision(3)),
          spread: 0,
          goal: `at most ${goalMs} ms`,
          met: told.holds,
        },
        {
          to: 'the time at a tenth of the entries, where that is 1 ms or more',
          ratio: growth,
          spread: 0,
          goal: 'at most 10 times',
          met: growth <= 10,
        },
        {
          to: `a covering index read of as many rows (the slowest question: ${first?.rows})`,
          ratio: Number(((first?.ms ?? NaN) / (first?.readMs ?? NaN)).toPrecision(3)),
          spread: 0,
          goal: 'a limit, no goal',
          met: null,
        },
      ],
      megabytes: told.megabytes,
    },
  ]);
}

interface PageTold {
  readonly median: number;
  readonly p95: number;
  readonly medianAtOneTenth?: number;
}
interface OfficeTold {
  readonly jobs: number;
  readonly entries: number;
  readonly pages: Readonly<Record<string, PageTold>>;
  /** Milliseconds by page; null where no browser was found. */
  readonly usable: Readonly<Record<string, number>> | null;
  readonly memory: { readonly afterAll: { readonly most: number } | null };
}

const SERVER_MS = 100;
/** What the goals of these pages speak of. */
const GOAL_JOBS = 100_000;
/** Ours: no source gives one for this page. After a second a reader notices the wait (Nielsen 1993, chapter 5). */
const USABLE_MS = 1000;

export function officeRows(jobs: number): Promise<Row[]> {
  const told = printed('office.ts', '--only', 'sqlite', '--jobs', String(jobs));
  const { sqlite } = told as { readonly sqlite: OfficeTold };
  return Promise.resolve([officeRow(sqlite)]);
}

/** The page with the largest figure first. */
const slowestFirst = (all: readonly (readonly [string, number])[]) =>
  all.toSorted(([, one], [, other]) => other - one);

/** A smaller store can miss the goal, not meet it. */
function heldTo(most: number, ms: number, jobs: number) {
  const isFull = jobs >= GOAL_JOBS;
  const goal = `at most ${most} ms${isFull ? '' : ` with ${GOAL_JOBS} jobs`}`;
  return { goal, met: isFull || ms > most ? ms <= most : null };
}

function officeRow({ jobs, entries, pages, usable, memory }: OfficeTold): Row {
  const told = Object.entries(pages);
  const servers = slowestFirst(told.map(([name, { median }]) => [name, median]));
  const browsers = slowestFirst(Object.entries(usable ?? {}));
  const within = (ms: number, most: number, what: string) => ({
    to: `${most} ms (${what}: ${ms} ms)`,
    ratio: Number((ms / most).toPrecision(3)),
    spread: 0,
    ...heldTo(most, ms, jobs),
  });
  const [page = '', ms = NaN] = servers[0] ?? [];
  const [drawn = '', seconds = NaN] = browsers[0] ?? [];
  return {
    name: 'office',
    says: `${told.length} pages of the office over ${jobs} jobs and ${entries} entries, answered by the built server`,
    units: told.length,
    unit: 'answers',
    ways: Object.fromEntries(
      told.map(([name, { median, p95 }]) => [
        name,
        { perSecond: Math.round(1000 / median), spread: Number((p95 / median - 1).toFixed(2)) },
      ]),
    ),
    ratios: [
      within(ms, SERVER_MS, `the slowest answer, ${page}`),
      ...(usable === null ? [] : [within(seconds, USABLE_MS, `the slowest to be used, ${drawn}`)]),
    ],
    megabytes: memory.afterAll?.most ?? 0,
  };
}
