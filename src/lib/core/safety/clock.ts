/**
 * Time as the properties see it: a running clock within one run of it, and across a restart only
 * when the wall clock says that less than two minutes passed, forwards.
 */
import type { Stamp } from '../job/events.ts';
import { endFact } from './facts.ts';
import { FRESH, type Draft, type Scene } from './scene.ts';

const knownGapMs = 120_000;

/** Running milliseconds of the scene's last event. */
export function now(scene: Scene): number {
  return scene.clock.mono + scene.clock.offset;
}

/** The scene at the time of an event: what is too old by then has ended. */
export function tick(scene: Scene, stamp: Stamp): Draft {
  const draft: Draft = { ...scene };
  const last = scene.clock;
  if (last.boot === stamp.boot && scene.time === 'told') {
    draft.clock = { boot: stamp.boot, mono: stamp.mono, at: stamp.at, offset: 0 };
    return draft;
  }
  if (last.boot === stamp.boot && stamp.mono >= last.mono) {
    draft.clock = { boot: stamp.boot, mono: stamp.mono, at: stamp.at, offset: last.offset };
  } else {
    restart(draft, stamp);
  }
  if (draft.made.length > 0) endOld(draft);
  return draft;
}

/** Another run of the clock, or one that ran backwards: the gap is the wall's if that is short. */
function restart(draft: Draft, stamp: Stamp): void {
  const last = draft.clock;
  const backwards = last.boot === stamp.boot;
  const gap = backwards ? NaN : Date.parse(stamp.at) - Date.parse(last.at);
  const known = gap >= 0 && gap <= knownGapMs;
  const offset = draft.time === 'told' ? 0 : now(draft) + (known ? gap : 0) - stamp.mono;
  draft.clock = { boot: stamp.boot, mono: stamp.mono, at: stamp.at, offset };
  if (!known) for (const { step } of draft.made) endFact(draft, step);
  // A wait runs on one run of the clock: what is still isolated has it from where this run began.
  const since = backwards ? now(draft) : offset;
  draft.isolatedAt = draft.isolatedAt.map((old) => (old === Infinity ? old : since));
}

function endOld(draft: Draft): void {
  const time = now(draft);
  for (const { step, at } of draft.made) {
    const keepsMs = draft.book.steps[step]?.keepsMs ?? Infinity;
    if (time - at > keepsMs) endFact(draft, step);
  }
  if (draft.made.some(({ step }) => ((draft.steps[step] ?? 0) & FRESH) === 0)) {
    draft.made = draft.made.filter(({ step }) => ((draft.steps[step] ?? 0) & FRESH) !== 0);
  }
}
