/**
 * What one thing says of another: nothing. A lock on one point, a firm's lock, a cover, an open end of another
 * source: each property asks about its own (P3 "its points", P4 "own lock", P10 "cannot undo it"), and going
 * over to other steps (P8) wants every part of the machine as it was found.
 */
import { describe, expect, test } from 'vitest';
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import { editsBetween } from '#lib/core/checklist/revision-edits.ts';
import {
  ISOLATED,
  POLISHER,
  STEPS,
  connector,
  polisherStep,
  polisherWith,
} from '../../../support/polisher.ts';
import { SHOP } from '../../../support/polisher-shop.ts';
import {
  MARA,
  ODE,
  broken,
  did,
  joined,
  lapsed,
  left,
  opened,
  other,
  parkedShut,
  resumed,
  windowClosed,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

const of = (property: string, list: Checklist, happenings: readonly Happening[]) =>
  broken(list, happenings).filter((one) => one.startsWith(`${property} `));

const maras = did('lock', { lock: 'M1' });
const shop = [opened(MARA, ODE), maras];

describe('a lock on another point', () => {
  test('P4: takes nothing off here', () => {
    expect(of('P4', SHOP, [...shop, did('gas-unlock')])).toEqual(['P4 gas-unlock']);
  });

  test('P4: that the firm left there comes off there alone', () => {
    const held = did('gas-lock', { lock: 'O2' }, ODE);
    const back = [...shop, held, parkedShut({ lock: 'F1' }), resumed(MARA)];
    expect(of('P4', SHOP, [...back, did('gas-unlock')])).toEqual(['P4 gas-unlock']);
    expect(of('P4', SHOP, [...back, did('unlock')])).toEqual([]);
  });

  test('P3: is not left on this source', () => {
    const called = [...shop, did('clear', { people: [MARA, ODE] })];
    expect(of('P3', SHOP, [...called, did('gas-on')])).toEqual([]);
    expect(of('P3', SHOP, [...called, did('power')])).toEqual(['P3 power']);
  });

  test('P10: keeps nobody from opening the cock', () => {
    const cut = [...ISOLATED, did('gas-off')];
    expect(of('P10', SHOP, [...cut, parkedShut()])).toEqual(['P10 job.parked']);
    const both = [...cut, did('gas-lock', { lock: 'M2' }), parkedShut()];
    expect(of('P10', SHOP, both)).toEqual([]);
  });
});

describe('locks with the same number', () => {
  test('P4: one’s own is meant', () => {
    const alike = [opened(MARA, ODE), did('lock', { lock: 'A' }), did('lock', { lock: 'A' }, ODE)];
    expect(of('P4', POLISHER, [...alike, did('unlock', { lock: 'A' }, ODE)])).toEqual([]);
  });

  test('P4: the firm’s may be named by whoever takes it off', () => {
    const firm = [
      ...ISOLATED,
      parkedShut({ lock: 'F1' }),
      resumed(ODE),
      did('lock', { lock: 'O1' }, ODE),
    ];
    expect(of('P4', POLISHER, [...firm, did('unlock', { lock: 'F1' }, ODE)])).toEqual([]);
  });
});

test('P1: a cover holds nothing up, and is not asked to be seated', () => {
  const list = polisherStep('cover-off', { keeps: { unless: ['moved'] } });
  const open = [...ISOLATED, did('cover-off'), lapsed('moved', { steps: ['cover-off'] })];
  expect(of('P1', list, [...open, did('raise')])).toEqual([]);
  expect(of('P1', list, [...open, did('raise'), lapsed('moved'), did('wires')])).toEqual([
    'P1 wires',
  ]);
});

describe('P8: what was undone is done again, and nothing else', () => {
  const wires = did('wires', { connectors: [connector('a'), connector('b')] });
  const again = (...happenings: readonly Happening[]) =>
    of('P8', POLISHER, [...ISOLATED, did('cover-off'), did('raise'), ...happenings]).filter(
      (one) => !one.endsWith('rewire'),
    );

  test('a wire that was put back comes off again', () => {
    const back = [
      wires,
      did('rewire', { connector: 'a' }),
      did('wires', { connectors: [connector('a')] }),
    ];
    expect(again(...back)).toEqual([]);
    expect(again(wires, did('wires', { connectors: [connector('b')] }))).toEqual(['P8 wires']);
  });

  test('a point that was cut again is restored again', () => {
    const power = (...more: readonly Happening[]) =>
      of('P8', POLISHER, more).filter((one) => one === 'P8 power').length;
    const once = power(...ISOLATED, did('power'));
    expect(power(...ISOLATED, did('power'), did('power'))).toBe(once * 2);
    const early = power(...ISOLATED, did('power'), did('off'), did('power'));
    expect(early).toBe(once);
  });
});

describe('P8: going over to other steps', () => {
  const extra: Step = { id: 'sweep', phase: 'finish', do: 'photo', say: 'Take a picture.' };
  const live: Step = {
    id: 'live',
    phase: 'finish',
    do: 'window',
    source: 'mains',
    reasons: ['voltage under command'],
    allows: ['spins'],
    minutes: 3,
    say: 'Open the live window.',
  };
  const base = polisherWith({
    steps: STEPS.flatMap((step) => (step.id === 'spins' ? [live, step] : [step])),
  });
  const newer = (more: Partial<Checklist>) =>
    other('job.rebased', {
      checklist: { id: 'polisher', revision: 2, sha256: '1'.repeat(64) },
      edits: editsBetween(base, { ...base, ...more }) ?? [],
      why: 'a picture more',
    });
  const over = newer({ revision: 2, steps: [...base.steps, extra] });
  const faults = (...happenings: readonly Happening[]) =>
    broken(base, [opened(MARA, ODE), ...happenings, over]).filter(
      (one) => one === 'P8 job.rebased',
    );

  test('passes on a machine that stands as it was found', () => {
    expect(faults()).toEqual([]);
    expect(faults(joined('iris'), left('iris'))).toEqual([]);
  });

  test.each([
    ['cut', [did('off')]],
    ['locked', [maras]],
    ['open', [did('cover-off')]],
    ['off', [did('wires', { connectors: [connector('a'), connector('b')] })]],
    ['in a live window', [windowOpened('live')]],
  ] as const)('is broken while something is %s', (_, happenings) => {
    expect(faults(...happenings)).toEqual(['P8 job.rebased']);
  });

  test('passes again once all is put back', () => {
    expect(faults(did('off'), did('power'), windowOpened('live'), windowClosed())).toEqual([]);
    expect(faults(did('cover-off'), did('cover-on'))).toEqual([]);
  });

  test('is broken by what is no newer revision of the list', () => {
    const bad = (more: Partial<Checklist>) =>
      broken(base, [opened(MARA), newer(more)]).filter((one) => one === 'P8 job.rebased');
    expect(bad({ revision: 1 })).toEqual(['P8 job.rebased']);
    expect(bad({ revision: 2, id: 'grinder' })).toEqual(['P8 job.rebased']);
    expect(bad({ revision: 2 })).toEqual([]);
  });
});
