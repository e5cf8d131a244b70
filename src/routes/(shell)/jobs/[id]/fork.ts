/** What another device wrote of this job, folded upon what both had: how it differs from the story here. */
import { branching, type Branching } from '#lib/core/job/branches.ts';
import { fold } from '#lib/core/job/evolve.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { initialState } from '#lib/core/job/state.ts';
import { readLine } from '#lib/core/record/index.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';
import { forkIn } from '#lib/device/pen.ts';
import { eventOf } from '#lib/device/read-job.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import type { DeviceStore } from '#lib/device/store.ts';

export interface OpenFork {
  readonly at: number;
  readonly count: number;
  readonly theirs: Branching;
}

/** The fork of this job that nobody has looked at yet; undefined when there is none. */
export async function openFork(
  store: DeviceStore,
  session: JobSession,
): Promise<OpenFork | undefined> {
  const kept = await forkIn(store, session.job);
  if (!kept.ok || kept.value === null || kept.value.settled === true) return undefined;
  const { at, lines } = kept.value;
  const rest = lines.flatMap((line) => {
    const read = readLine(new Uint8Array(line), purePrimitives);
    return read.ok ? [eventOf(read.value)] : [];
  });
  const { checklist, row } = session.opened;
  const common = session.entries.slice(0, at).map(({ event }) => event);
  const there = fold(initialState(planOf(checklist), row.sha256), [...common, ...rest]);
  return { at, count: lines.length, theirs: branching(session.state, there) };
}

/** What the record says of it. */
export function forkNote({ at, count, theirs }: OpenFork): string {
  const open = [...theirs.ends, ...theirs.locks.map(({ number }) => `lock ${number}`)].join(', ');
  return `the record forks at entry ${at}: another device wrote ${count} entries of its own; everything was treated as live from here on${open === '' ? '' : `; open or locked there only: ${open}`}`;
}
