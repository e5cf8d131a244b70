import { describe, expect, test } from 'vitest';
import {
  PROPERTIES,
  monitorOf,
  safetyKey,
  startSafety,
  stepSafety,
} from '#lib/core/safety/index.ts';
import { POLISHER, WHOLE_JOB } from '../../../support/polisher.ts';
import {
  MARA,
  broken,
  corrected,
  did,
  notDone,
  opened,
  other,
  stamped,
  type Happening,
} from '../../../support/trace.ts';

/** The whole job with every act of one step left out, with a reason, instead. */
function leavingOut(step: string): Happening[] {
  const isIt = (one: Happening) => 'body' in one && 'step' in one.body && one.body.step === step;
  return [...WHOLE_JOB.map((one) => (isIt(one) ? notDone(step) : one))];
}

/** What a job breaks that leaves one step out, said honestly: a reason opens no gate. */
const leftOut: readonly (readonly [step: string, breaks: readonly string[]])[] = [
  ['told', []],
  ['case', ['P11 unplug', 'P11 cool']],
  ['count', ['P12 dead']],
  ['find', []],
  ['verdict', []],
  ['ohms', []],
  ['raise', []],
  ['look', []],
  ['snap', []],
  ['lower', ['P2 plug-in', 'P2 power', 'P10 job.closed']],
  ['cover-on', ['P2 plug-in', 'P2 power', 'P10 job.closed']],
  ['rewire', ['P2 plug-in', 'P2 power', 'P10 job.closed']],
  ['clear', ['P3 plug-in', 'P3 power']],
  ['unlock', ['P3 plug-in', 'P3 power', 'P10 job.closed']],
  ['plug-in', ['P10 job.closed']],
  ['power', ['P10 job.closed']],
  ['case-again', []],
  ['done', ['P10 job.closed']],
];

describe('a whole job', () => {
  test('by one person breaks nothing', () => {
    expect(broken(POLISHER, WHOLE_JOB)).toEqual([]);
  });

  test.each(leftOut)('that leaves out %s breaks %j', (step, breaks) => {
    expect(broken(POLISHER, leavingOut(step))).toEqual(breaks);
  });

  test('exposes somebody without the isolation, the lock, the cooling, the proof or the drain', () => {
    const exposed = ['off', 'lock', 'unplug', 'cool', 'dead', 'drain'].map((step) => [
      step,
      new Set(broken(POLISHER, leavingOut(step)).map((one) => one.split(' ')[0])),
    ]);
    expect(exposed).toEqual([
      ['off', new Set(['P12', 'P1', 'P7'])],
      ['lock', new Set(['P12', 'P1', 'P4'])],
      ['unplug', new Set(['P12', 'P1', 'P7'])],
      ['cool', new Set(['P1'])],
      ['dead', new Set(['P1'])],
      ['drain', new Set(['P1'])],
    ]);
  });

  test('is not broken by what is only said about its steps', () => {
    const about = POLISHER.steps.flatMap(({ id }) => [
      notDone(id),
      corrected(id),
      other('caution.read', { step: id }),
    ]);
    const events = stamped([opened(MARA), did('cover-off'), ...about]);
    for (const { id } of PROPERTIES) {
      const monitor = monitorOf(id);
      let state = monitor.start(POLISHER);
      for (const [index, event] of events.entries()) {
        const stepped = monitor.step(state, event);
        state = stepped.state;
        if (index > 1) expect(stepped.violations).toEqual([]);
      }
    }
  });

  test('gives every state of its own a key of its own, and never changes an earlier state', () => {
    let state = startSafety(POLISHER);
    const keys = [safetyKey(state)];
    for (const event of stamped(WHOLE_JOB)) {
      const old = JSON.stringify({ ...state, book: null });
      const next = stepSafety(deepFrozen(state), event).state;
      expect(JSON.stringify({ ...state, book: null })).toBe(old);
      state = next;
      keys.push(safetyKey(state));
    }
    expect(new Set(keys).size).toBe(keys.length);
  });
});

function deepFrozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    if (!(value instanceof Map) && !(value instanceof Set))
      Object.values(value).forEach(deepFrozen);
  }
  return value;
}
