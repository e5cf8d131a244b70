/** Second looks at what comes again in another job: photos and readings. */
import type { Finding } from './finding.ts';
import { bitsApart, NEAR_BITS } from './photo-look.ts';
import { photosOf, readingsOf, runsFree, type Trace } from './trace.ts';

/** Readings that two jobs have to share: six of nine come about by chance in a file of some hundred jobs. */
const SHARED = 7;
const OF_NINE = 7 / 9;
/** A value that so many jobs have tells nothing about two of them. */
const COMMON = 100;

export const looksAtRepeats = (jobs: readonly Trace[]): Finding[] => [
  ...samePhotos(jobs),
  ...nearPhotos(jobs),
  ...sameReadings(jobs),
];

/** D5: the very same file. */
function samePhotos(jobs: readonly Trace[]): Finding[] {
  const first = new Map<string, Trace>();
  return jobs.flatMap((job) =>
    photosOf(job).flatMap(({ photo, step }) => {
      const other = first.get(photo);
      if (other === undefined) first.set(photo, job);
      if (other === undefined || other === job) return [];
      return [photoFinding(job, other, step, 0, 'ask')];
    }),
  );
}

interface Seen {
  readonly look: string;
  readonly photo: string;
  readonly job: Trace;
}

/** Six pieces of a look: two that differ in five bits at most are the same in one of the six. */
const PIECES = [0, 3, 6, 9, 12, 14] as const;
const piecesOf = (look: string): string[] =>
  PIECES.map((from, at) => `${at} ${look.slice(from, PIECES[at + 1] ?? 16)}`);

/** D5: nearly the same picture. Wiring of one model looks alike, so this is only to look at. */
function nearPhotos(jobs: readonly Trace[]): Finding[] {
  const seen = new Map<string, Seen[]>();
  return jobs.flatMap((job) => {
    const own = photosOf(job).flatMap(({ photo, step }) => {
      const look = job.looks.get(photo);
      return look === undefined ? [] : [{ photo, step, look, job }];
    });
    const found = own.flatMap(({ photo, step, look }) => {
      const other = piecesOf(look)
        .flatMap((piece) => seen.get(piece) ?? [])
        .find((one) => one.photo !== photo && bitsApart(one.look, look) <= NEAR_BITS);
      return other === undefined
        ? []
        : [photoFinding(job, other.job, step, bitsApart(other.look, look), 'look')];
    });
    for (const one of own)
      for (const piece of piecesOf(one.look)) {
        const list = seen.get(piece);
        if (list === undefined) seen.set(piece, [one]);
        else list.push(one);
      }
    return found;
  });
}

function photoFinding(
  job: Trace,
  other: Trace,
  step: string,
  bits: number,
  weight: Finding['weight'],
): Finding {
  const figures = { bits, other: other.job };
  const { lead: person } = job;
  return { rule: 'D5', weight, job: job.job, jobs: [other.job], person, steps: [step], figures };
}

/** D7: two jobs on one checklist with the same readings, to the last digit. */
function sameReadings(jobs: readonly Trace[]): Finding[] {
  const own = jobs.map(
    (job) =>
      new Set(
        readingsOf(job)
          .filter(runsFree)
          .map(({ name, value, unit }) => `${job.checklist.id} ${name} ${value} ${unit}`),
      ),
  );
  const holders = new Map<string, number[]>();
  own.forEach((names, at) => {
    for (const name of names) holders.set(name, [...(holders.get(name) ?? []), at]);
  });
  // Only pairs that share something rare are counted through.
  const pairs = new Set<number>();
  for (const list of holders.values()) {
    if (list.length > COMMON) continue;
    list.forEach((one, at) => {
      for (const other of list.slice(at + 1)) pairs.add(one * jobs.length + other);
    });
  }
  return [...pairs].flatMap((pair) => {
    const [one, other] = [Math.floor(pair / jobs.length), pair % jobs.length];
    const [earlier, later] = [jobs[one], jobs[other]];
    const [names, others] = [own[one] ?? new Set<string>(), own[other] ?? new Set<string>()];
    const same = [...names].filter((name) => others.has(name)).length;
    const of = Math.min(names.size, others.size);
    if (earlier === undefined || later === undefined || same < SHARED || same / of < OF_NINE)
      return [];
    const figures = { same, of, other: earlier.job };
    const { job, lead: person } = later;
    return [
      { rule: 'D7', weight: 'look', job, jobs: [earlier.job], person, steps: [], figures } as const,
    ];
  });
}
