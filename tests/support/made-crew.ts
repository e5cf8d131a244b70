/**
 * A made-up crew for the second looks: jobs of the range checklist, run through the real engine, by
 * people who work honestly and people who invent. All of it follows from a seed.
 *
 * The ways of working are assumptions, not field data: how often a rule hits or errs on them says whether
 * it does what its sentence says, not how a real crew behaves.
 */
import { readFileSync } from 'node:fs';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Command } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import type { JobEvent, StepResult } from '#lib/core/job/events.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { parseQuantity } from '#lib/core/measure/quantity.ts';
import type { ScreenJob } from '#lib/core/screen/trace.ts';

const folder = new URL('../replays/', import.meta.url);
const list = loadChecklist(
  readFileSync(new URL('../../checklists/range-door-lock.yaml', import.meta.url), 'utf8'),
);
if (!list.ok) throw new Error(list.problems[0]?.says);
export const crewChecklist = list.checklist;
const takes = new Map(
  crewChecklist.steps.map(({ id, takes: text }) => {
    const read = parseQuantity(text ?? '10 s');
    return [id, read.ok ? read.quantity.si : 10] as const;
  }),
);
type Recorded = Record<string, unknown> & { command: string; step?: string; result?: StepResult };
const recorded = readFileSync(new URL('range-whole-job.jsonl', folder), 'utf8')
  .split('\n')
  .filter((line) => line.trim() !== '')
  .map((line) => JSON.parse(line) as Recorded & { at: string; mono: number });

/** Mulberry32: a small generator with a seed of 32 bits. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/**
 * `honest`: works, and confirms up to three acts at once. `van`: works in the house and ticks ten acts
 * in the van. `invented`: ticks everything in evenly. `copied`: readings and photos of an earlier job.
 * `rollback`: the wall clock is set back half-way.
 */
export type Way = 'honest' | 'van' | 'invented' | 'copied' | 'rollback';

const hex = (random: () => number): string =>
  Array.from({ length: 64 }, () => Math.floor(random() * 16).toString(16)).join('');

/** @param before a job whose readings and photos are handed in again */
export function madeJob(
  way: Way,
  number: number,
  person: string,
  random: () => number,
  before?: ScreenJob,
): ScreenJob {
  let state = initialState(planOf(crewChecklist), 'c4'.repeat(32));
  const events: JobEvent[] = [];
  const wall = Date.UTC(2026, 5, 1, 8) + number * 5 * 3_600_000;
  let mono = 5_000;
  // Of up to three acts confirmed together the first carries the time of all.
  let [burst, owed] = [0, 0];
  const batch = (honest: number): number => {
    if (burst === 0 && random() < 0.05) [burst, owed] = [3, honest * 3];
    if (burst === 0) return honest;
    const first = burst === 3;
    burst -= 1;
    return first ? owed + 160 : 2 + random() * 3;
  };
  const old = oldResults(before);
  const vanFrom = 12 + Math.floor(random() * 20);
  const lead = recorded[0]?.['by'];
  const say = (line: Recorded, turned: number): readonly string[] => {
    const result = line.result && varied(line, old.get(line.step ?? ''), random);
    const stamp = { at: new Date(wall + mono - turned).toISOString(), mono, boot: `run-${number}` };
    const whole = { ...line, ...stamp, ...(result === undefined ? {} : { result }) };
    const command = JSON.parse(
      JSON.stringify(whole).replaceAll(`"${String(lead)}"`, `"${person}"`),
    ) as Command;
    const decision = decide(state, command);
    events.push(...decision.events);
    state = decision.events.reduce(evolve, state);
    return decision.refusals.flatMap(({ clears }) => clears);
  };
  recorded.forEach((line, at) => {
    const least = takes.get(line.step ?? '') ?? 8;
    const seconds = gapOf(way, least, at, vanFrom, random, batch);
    // Waits are physics: the engine asks for them of everybody.
    const wait = line.mono - (recorded[at - 1]?.mono ?? line.mono) > 200_000;
    mono += Math.round(
      (wait ? (line.mono - (recorded[at - 1]?.mono ?? 0)) / 1000 : seconds) * 1000,
    );
    const turned = way === 'rollback' && at > recorded.length / 2 ? 900_000 : 0;
    const refused = say(line, turned);
    // A proof that ran out is given again, and what it stood in the way of tried again.
    for (const step of refused) {
      const again = recorded.find((one) => one.step === step);
      if (again === undefined) continue;
      mono += Math.round(
        gapOf(way, takes.get(step) ?? 8, at, vanFrom, random, (one) => one) * 1000,
      );
      say(again, turned);
    }
    if (refused.length > 0) {
      mono += 9_000;
      say(line, turned);
    }
  });
  return { job: `job-${number}`, checklist: crewChecklist, events };
}

function gapOf(
  way: Way,
  least: number,
  at: number,
  vanFrom: number,
  random: () => number,
  batch: (honest: number) => number,
): number {
  if (way === 'invented') return 2.5 + random() * 3;
  if (way === 'van' && at >= vanFrom && at < vanFrom + 12) return 1.5 + random() * 3;
  // Most acts take a little more than the least; some take long.
  return batch(least * (1.25 + 0.8 * random()) + (random() < 0.08 ? 30 + 120 * random() : 0) + 2);
}

function oldResults(before: ScreenJob | undefined): Map<string, StepResult> {
  return new Map(
    (before?.events ?? []).flatMap((event) =>
      event.type === 'step.done' ? [[event.body.step, event.body.result] as const] : [],
    ),
  );
}

/** Values as a meter would show them another day, and a photo where one is usual. */
function varied(
  { step = '', result = {} }: Recorded,
  old: StepResult | undefined,
  random: () => number,
): StepResult {
  const kind = crewChecklist.steps.find(({ id }) => id === step)?.do;
  const photos = kind === 'lock' || kind === 'reseat' ? (old?.photos ?? [hex(random)]) : undefined;
  const pairs = result.pairs && {
    pairs:
      old?.pairs ??
      Object.fromEntries(
        Object.entries(result.pairs).map(([pair, shown]) => [
          pair,
          { ...shown, value: wobble(shown.value, random) },
        ]),
      ),
  };
  const value = result.value && { value: old?.value ?? wobble(result.value, random) };
  return { ...result, ...pairs, ...value, ...(photos && { photos }) };
}

function wobble(value: string, random: () => number): string {
  if (!/^\d+(?:\.\d+)?$/.test(value)) return value;
  const places = value.split('.')[1]?.length ?? 0;
  return (Number(value) * (1 + (random() - 0.5) * 0.02)).toFixed(places);
}
