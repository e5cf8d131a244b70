/**
 * The questions over sets of states say exactly what the engine and the monitors say: from every state that is
 * looked at the same moves, each to the same state; and along long walks the same scene after each
 * move, and a fault wherever the monitors see one.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { isEnded, type JobState } from '#lib/core/job/state.ts';
import { boundsOf } from '#lib/core/prove/bounds.ts';
import { labelOf } from '#lib/core/prove/compact/label.ts';
import { after, movesFrom, type Move as EngineMove } from '#lib/core/prove/moves.ts';
import type { Move } from '#lib/core/prove/symbolic/move.ts';
import { faultsOf } from '#lib/core/prove/symbolic/faults.ts';
import { happen } from '#lib/core/prove/symbolic/happenings.ts';
import { partsOf, Scene } from '#lib/core/prove/symbolic/scene.ts';
import { settingsOf } from '#lib/core/prove/symbolic/variables.ts';
import { Walk } from '#lib/core/prove/symbolic/walk.ts';
import { startSafety, stepSafety, type SafetyState } from '#lib/core/safety/index.ts';
import {
  checklistNames,
  checklistOf,
  checklistText,
  lampText,
} from '../../../../support/checklist-texts.ts';
import { partOf } from '../../../../support/scene-parts.ts';

const keyOf = (walk: Walk, state: JobState) =>
  isEnded(state) ? state.status : settingsOf(walk.of, state).join('');

const mayBe = (walk: Walk, { guards }: Move, settings: Uint8Array) =>
  guards.some(
    ({ must, bars }) =>
      must.every((each) => walk.d.holds(each, settings)) &&
      !bars.some((each) => walk.d.holds(each, settings)),
  );

const isDanger = ({ events }: EngineMove) => events.some(({ type }) => type === 'try.refused');

/** What of the engine's moves from this state the questions do not have just so, and the other way round. */
function differences(walk: Walk, state: JobState, moves: readonly EngineMove[]): string[] {
  const settings = settingsOf(walk.of, state);
  const engine = new Map<number, string>();
  for (const move of moves) {
    const label = labelOf(state, walk.of.people, move.command, isDanger(move));
    engine.set(label, keyOf(walk, after(state, move.events)));
  }
  const wrong: string[] = [];
  for (const move of walk.moves.list) {
    if (!mayBe(walk, move, settings)) continue;
    const to = move.to
      ? Uint8Array.from(move.to.bits, (bit) => (walk.d.holds(bit, settings) ? 1 : 0)).join('')
      : move.end;
    if (engine.get(move.label) !== to) wrong.push(`move ${move.label} of ${state.frontier}`);
    engine.delete(move.label);
  }
  for (const label of engine.keys()) wrong.push(`no move ${label} of ${state.frontier}`);
  return wrong;
}

/** Walks up to `most` states, every `stride`th new one and each that gets further in the checklist. */
function disagreements(checklist: Checklist, connectors: number, most: number, stride: number) {
  const bounds = boundsOf(checklist, 2, connectors);
  const walk = new Walk(checklist, bounds);
  const found = [walk.opened];
  const seen = new Set([keyOf(walk, walk.opened)]);
  const wrong: string[] = [];
  for (let at = 0; at < found.length && wrong.length === 0; at++) {
    const state = found[at] as JobState;
    const moves = movesFrom(state, bounds);
    wrong.push(...differences(walk, state, moves));
    for (const [ordinal, { events }] of moves.entries()) {
      const next = after(state, events);
      const key = keyOf(walk, next);
      const further = next.frontier > state.frontier;
      if (found.length >= most || isEnded(next) || seen.has(key)) continue;
      if (!further && (at * 5 + ordinal) % stride !== 0) continue;
      seen.add(key);
      found.push(next);
    }
  }
  return { wrong, states: found.length };
}

/** A whole number below `most` that depends on nothing but the numbers before it (Park and Miller's generator). */
function dice(seed: number) {
  let value = seed;
  return (most: number): number => {
    value = (value * 48_271) % 2_147_483_647;
    return value % most;
  };
}

/** The free variables that make the scenes beside a state this very scene; undefined when none does. */
function freed(walk: Walk, beside: Scene, settings: Uint8Array, scene: SafetyState) {
  const parts = partsOf(walk.of);
  const all = new Uint8Array(walk.of.count + parts.length);
  all.set(settings);
  parts.forEach((part, at) => {
    const holds = partOf(scene, walk.of, part.name);
    all[walk.of.count + at] = (part.more ? holds : !holds) ? 1 : 0;
  });
  const unlike = parts
    .filter(({ name }) => walk.d.holds(beside.at(name), all) !== partOf(scene, walk.of, name))
    .map(({ name }) => name);
  return { all, unlike };
}

/** Walks at random with the real monitors beside, and compares scene by scene. */
function unlikeScenes(checklist: Checklist, connectors: number, steps: number, seed: number) {
  const bounds = boundsOf(checklist, 2, connectors);
  const walk = new Walk(checklist, bounds);
  const { d, of } = walk;
  const parts = partsOf(of);
  const beside = Scene.beside(walk.moves.from, parts, of);
  const roll = dice(seed);
  const opening = movesFrom(walk.unopened, bounds)[0] as EngineMove;
  const begin = () => ({
    state: walk.opened,
    scene: opening.events.reduce(
      (each, event) => stepSafety(each, event).state,
      startSafety(checklist, 'told'),
    ),
  });
  let now = begin();
  const wrong: string[] = [];
  for (let step = 0; step < steps && wrong.length === 0; step++) {
    const settings = settingsOf(of, now.state);
    const { all, unlike } = freed(walk, beside, settings, now.scene);
    if (unlike.length > 0) return [`beside ${now.state.frontier}: ${unlike.join(', ')}`];
    const moves = movesFrom(now.state, bounds);
    /* On with the checklist more often than not, or a walk never gets far. */
    const onward = moves.filter(
      ({ command, events }) =>
        ['do', 'window', 'endWindow'].includes(command.command) &&
        after(now.state, events).frontier >= now.state.frontier,
    );
    const from = onward.length > 0 && roll(10) < 7 ? onward : moves;
    const taken = from[roll(from.length)] as EngineMove;
    const label = labelOf(now.state, of.people, taken.command, isDanger(taken));
    const move = walk.moves.list.find(
      (each) => each.label === label && mayBe(walk, each, settings),
    );
    if (!move) return [`no move ${label}`];
    const symbolic = beside.copy();
    let fault = false;
    for (const happening of move.happenings) {
      fault ||= faultsOf(symbolic, happening, walk.moves.from).some(([, each]) =>
        d.holds(each, all),
      );
      happen(symbolic, happening, walk.moves.from, move.to ?? walk.moves.from);
    }
    let { scene } = now;
    let broken = false;
    for (const event of taken.events) {
      const stepped = stepSafety(scene, event);
      broken ||= stepped.violations.length > 0;
      scene = stepped.state;
    }
    if (broken && !fault) wrong.push(`${label} breaks a property unseen`);
    const state = after(now.state, taken.events);
    if (isEnded(state)) {
      now = begin();
      continue;
    }
    for (const { name, is, more } of parts) {
      if (d.holds(symbolic.at(name), all) === partOf(scene, of, name)) continue;
      /* What the engine leans on no more may have ended with a lapse that named it, or not. */
      if (more && move.to && !d.holds(is(move.to), all)) continue;
      wrong.push(`${name} after ${label} (${taken.command.command})`);
    }
    now = { state, scene };
  }
  return wrong;
}

const others = (['test', 'shipped'] as const).flatMap((folder) =>
  checklistNames(folder).map((name) => [name, folder] as const),
);

describe('the questions agree with the engine', () => {
  test('in every state of the bench lamp', () => {
    const { wrong, states } = disagreements(checklistOf(lampText), 1, 1e6, 1);
    expect(wrong).toEqual([]);
    expect(states).toBe(1646);
  });

  test.each(others)('in states all along %s', (name, folder) => {
    const checklist = checklistOf(checklistText(name, folder));
    expect(disagreements(checklist, 2, 60, 3)).toEqual({ wrong: [], states: 60 });
  });
});

describe('the scenes agree with the monitors', () => {
  test.each(others)('along walks through %s', (name, folder) => {
    const checklist = checklistOf(checklistText(name, folder));
    expect(unlikeScenes(checklist, 2, 250, 7)).toEqual([]);
  });
});
