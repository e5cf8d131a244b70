import { fc, test } from '@fast-check/vitest';
import { describe, expect } from 'vitest';
import { LAPSES } from '#lib/core/checklist/model.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import {
  PROPERTIES,
  monitorOf,
  runMonitors,
  safetyKey,
  startSafety,
  stepSafety,
  type SafetyState,
} from '#lib/core/safety/index.ts';
import {
  CASE_CLEAR,
  COOL,
  DEAD,
  DRAINED,
  POLISHER,
  STEPS,
  WHOLE_JOB,
  connector,
} from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  began,
  closed,
  corrected,
  did,
  handedOver,
  joined,
  lapsed,
  later,
  left,
  notApplicable,
  notDone,
  opened,
  parkedShut,
  parkedUsable,
  removedFor,
  restarted,
  resumed,
  stamped,
  toolsDown,
  tried,
  windowClosed,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

const person = fc.constantFrom(MARA, ODE);
const step = fc.constantFrom(...STEPS.map((one) => one.id));
const result = fc.constantFrom(
  {},
  CASE_CLEAR,
  DEAD,
  COOL,
  DRAINED,
  { sources: 4 },
  { lock: 'M1' },
  { lock: 'O1' },
  { tag: 'hands off', measure: 'fuse in pocket' },
  { option: 'replace' },
  { connectors: [connector('w1')] },
  { connector: 'w1' },
  { people: [MARA, ODE] },
);
const act = fc.oneof(
  { weight: 6, arbitrary: fc.tuple(step, result, person).map((of) => did(...of)) },
  fc.tuple(step, result, person).map((of) => began(...of)),
  fc.tuple(step, person).map((of) => corrected(...of)),
  step.map(notDone),
  step.map(notApplicable),
  fc.constantFrom(...LAPSES).map((lapse) => lapsed(lapse)),
  fc.tuple(fc.constantFrom(...LAPSES), step).map(([lapse, id]) => lapsed(lapse, { steps: [id] })),
  person.map((id) => joined(id)),
  fc.tuple(person, fc.subarray(['M1', 'O1'])).map((of) => left(...of)),
  fc.constantFrom(
    opened(MARA),
    opened(MARA, ODE),
    windowOpened('ohms'),
    windowClosed(),
    parkedShut({ lock: 'F1' }),
    parkedUsable(),
    resumed(),
    handedOver({ lock: 'O1' }),
    removedFor(),
    toolsDown(),
    closed(),
    tried({ live: 'mains' }),
    tried({ doubt: 'T-7' }),
  ),
);
/** A whole job, or the start of it, with all kinds of things happening in between. */
const job = fc
  .array(fc.tuple(fc.nat(WHOLE_JOB.length), fc.array(act, { maxLength: 2 })), { maxLength: 8 })
  .map((changes) => {
    const happenings: Happening[] = [...WHOLE_JOB];
    for (const [at, acts] of changes) happenings.splice(at, acts.length === 2 ? 1 : 0, ...acts);
    return happenings;
  });
const timed = fc
  .tuple(job, fc.array(fc.tuple(fc.nat(40), fc.nat(40), fc.boolean()), { maxLength: 4 }))
  .map(([happenings, pauses]) => {
    const all = [...happenings];
    for (const [at, minutes, restart] of pauses) {
      all.splice(at, 0, restart ? restarted(minutes) : later(minutes));
    }
    return all;
  });

/** Every violation of a trace, as text, with the state at its end. */
function run(events: readonly JobEvent[], start = startSafety(POLISHER)) {
  let state = start;
  const broken: string[] = [];
  for (const event of events) {
    const stepped = stepSafety(state, event);
    broken.push(...stepped.violations.map((one) => `${one.at} ${one.property} ${one.says}`));
    state = stepped.state;
  }
  return { broken, state };
}

function frozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    Object.values(value).forEach(frozen);
  }
  return value;
}

describe('the monitors', () => {
  test.prop([timed])('say together what each says alone', (happenings) => {
    const events = stamped(happenings);
    const verdicts = runMonitors(POLISHER, events);
    for (const { id } of PROPERTIES) {
      const monitor = monitorOf(id);
      let state = monitor.start(POLISHER);
      const alone = events.flatMap((event) => {
        const stepped = monitor.step(state, event);
        state = stepped.state;
        return [...stepped.violations];
      });
      expect(verdicts[id].violations).toEqual(alone);
      expect(verdicts[id].holds).toBe(alone.length === 0);
      expect(alone.every((one) => one.property === id)).toBe(true);
    }
  });

  test.prop([timed])('never change a state that they were given', (happenings) => {
    let state = startSafety(POLISHER);
    frozen(state);
    for (const event of stamped(happenings)) {
      state = stepSafety(state, frozen(event)).state;
      frozen(state);
    }
    expect(state.seen).toBe(happenings.filter((one) => 'type' in one).length);
  });

  test.prop([timed, fc.nat(60)])('speak of the past alone', (happenings, length) => {
    const events = stamped(happenings);
    const early = run(events.slice(0, length)).broken;
    expect(run(events).broken.slice(0, early.length)).toEqual(early);
  });

  test.prop([job])('need no clock while no time passes', (happenings) => {
    const events = stamped(happenings).map((event) => ({ ...event, mono: 1 }));
    const told = run(events, startSafety(POLISHER, 'told')).broken;
    expect(told).toEqual(run(events).broken);
  });

  test.prop([job, fc.nat(40)])('take no refused try for an act', (happenings, at) => {
    const without = run(stamped(happenings).map((event) => ({ ...event, mono: 1 })));
    const more = [
      ...happenings.slice(0, at),
      tried({ step: 'cover-off' }),
      ...happenings.slice(at),
    ];
    const withTry = run(stamped(more).map((event) => ({ ...event, mono: 1 })));
    const says = (broken: string[]) => broken.map((one) => one.replace(/^\d+ /, ''));
    // Before the opening and after an end a try is a note as well.
    expect(says(withTry.broken)).toEqual(says(without.broken));
    expect(safetyKey(withTry.state)).toBe(safetyKey(without.state));
  });
});

describe('the key of a state', () => {
  test('is equal only where no later event can tell the states apart', () => {
    const known = new Map<string, SafetyState>();
    let met = 0;
    const futures = fc.sample(act, { numRuns: 40, seed: 11 });
    for (const happenings of fc.sample(job, { numRuns: 150, seed: 7 })) {
      let state = startSafety(POLISHER, 'told');
      for (const event of stamped(happenings).map((one) => ({ ...one, mono: 1, boot: 'b' }))) {
        state = stepSafety(state, event).state;
        const key = safetyKey(state);
        const twin = known.get(key);
        known.set(key, state);
        if (twin === undefined || met > 2000) continue;
        met += 1;
        const next = stamped([futures[met % futures.length] ?? tried()]);
        const [one, other] = [run(next, state), run(next, twin)];
        expect(one.broken.map(unnumbered)).toEqual(other.broken.map(unnumbered));
        expect(safetyKey(one.state)).toBe(safetyKey(other.state));
      }
    }
    // States do meet again; otherwise nothing was compared.
    expect(met).toBeGreaterThan(500);
    expect(known.size).toBeGreaterThan(500);
  });

  const unnumbered = (says: string) => says.replace(/^\d+ /, '');

  test.prop([job])('counts ages, not times of day', (happenings) => {
    const events = stamped(happenings);
    const later = events.map((event) => ({ ...event, mono: event.mono + 86_400_000 }));
    expect(safetyKey(run(later).state)).toBe(safetyKey(run(events).state));
  });
});
