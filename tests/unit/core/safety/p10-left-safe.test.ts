import { describe, expect, test } from 'vitest';
import {
  CASE_CLEAR,
  ISOLATED,
  POLISHER,
  WHOLE_JOB,
  connector,
  polisherWith,
} from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  broken,
  closed,
  corrected,
  did,
  handedOver,
  joined,
  lapsed,
  left,
  opened,
  other,
  parkedShut,
  parkedUsable,
  resumed,
  toolsDown,
  windowClosed,
  windowOpened,
  without,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith('P10 '));

const done = WHOLE_JOB.slice(0, -1);

describe('P10: handed back', () => {
  test('passes when all is together, restored and signed', () => {
    expect(found([...done, closed()])).toEqual([]);
  });

  test('is broken by closing in the middle', () => {
    expect(found([...ISOLATED, closed()])).toEqual(['P10 job.closed']);
  });

  test.each<[string, Happening[]]>([
    ['an open cover', [did('cover-off')]],
    ['a loose connector', [did('wires', { connectors: [connector('w1')] })]],
    ['a lock', [did('lock', { lock: 'M1' })]],
    ['a tag', [did('lock', { tag: 'hands off' })]],
    ['a point that is cut', [did('off')]],
    ['a point that nobody is sure of', [corrected('power')]],
    ['an open live window', [windowOpened('ohms')]],
    ['no signature', [corrected('done')]],
  ])('is broken by %s', (_, happenings) => {
    expect(found([...done, ...happenings, closed()])).toEqual(['P10 job.closed']);
  });

  test('is broken by open ends that the closing itself lists', () => {
    expect(found([...done, closed(['w1'])])).toEqual(['P10 job.closed']);
  });

  test('is not broken by an isolation taken back after its restoration', () => {
    expect(found([...done, corrected('off'), corrected('unplug'), closed()])).toEqual([]);
  });

  test('is not broken by a window that was closed, or by power that was never off', () => {
    const window = [windowOpened('ohms'), windowClosed(), closed()];
    expect(found([...done, ...window])).toEqual([]);
    expect(found([opened(MARA), did('done'), closed()])).toEqual([]);
  });
});

describe('P10: parked usable', () => {
  test('passes when it is together and its case was tested', () => {
    expect(found([...done, parkedUsable()])).toEqual([]);
    expect(found([opened(MARA), did('case', CASE_CLEAR), parkedUsable()])).toEqual([]);
  });

  test.each<[string, Happening[]]>([
    ['an open cover', [did('cover-off')]],
    ['a lock', [did('lock', { lock: 'M1' })]],
    ['a point that is cut', [did('unplug')]],
    ['a case that was not tested since the power came back', [did('off'), did('power')]],
    ['an open live window', [windowOpened('ohms'), did('case', CASE_CLEAR)]],
  ])('is broken by %s', (_, happenings) => {
    expect(found([...done, ...happenings, parkedUsable()])).toEqual(['P10 job.parked']);
  });

  test('is broken by a case that was never tested, where the case is metal', () => {
    expect(found([opened(MARA), parkedUsable()])).toEqual(['P10 job.parked']);
    const { case: _case, ...plastic } = POLISHER.sources.mains!;
    const insulated = polisherWith({ sources: { ...POLISHER.sources, mains: plastic } });
    expect(found([opened(MARA), parkedUsable()], insulated)).toEqual([]);
  });
});

describe('P10: parked shut', () => {
  const open = [...ISOLATED, did('cover-off'), did('wires', { connectors: [connector('w1')] })];
  const listed = (end: string, more: object = {}) => ({
    end,
    insulated: true,
    why: 'waits for the part',
    ...more,
  });
  const both = [listed('cover'), listed('w1')];

  test('passes isolated and locked, every open end listed as insulated', () => {
    expect(found([...open, parkedShut({ left: both })])).toEqual([]);
    expect(found([...open, parkedShut({ left: both, lock: 'F1' })])).toEqual([]);
  });

  test.each([
    ['an end that is not listed', [listed('cover')]],
    ['an end in whose place another is listed', [listed('cover'), listed('hose')]],
    ['an end that is not insulated', [listed('cover'), listed('w1', { insulated: false })]],
    ['an end without a reason', [listed('cover'), listed('w1', { why: ' ' })]],
  ])('is broken by %s', (_, ends) => {
    expect(found([...open, parkedShut({ left: ends })])).toEqual(['P10 job.parked']);
  });

  test.each(['', 'soon', '4 December'])('is broken without a date: “%s”', (until) => {
    expect(found([...ISOLATED, parkedShut({ until })])).toEqual(['P10 job.parked']);
  });

  test.each<[string, Happening[]]>([
    ['a point that is not cut', [did('unplug')]],
    ['a point that came back', [...ISOLATED.slice(1), lapsed('reEnergized', { source: 'mains' })]],
    ['a point whose isolation was taken back', [...ISOLATED.slice(1), corrected('off')]],
    ['no lock at all', [did('off'), did('unplug')]],
    ['a tag for a lock', [did('off'), did('unplug'), did('lock', { tag: 'out', measure: 'fuse' })]],
    ['an open live window', [...ISOLATED.slice(1), windowOpened('ohms')]],
  ])('is broken by %s', (_, happenings) => {
    expect(found([opened(MARA), ...happenings, parkedShut()])).toEqual(['P10 job.parked']);
  });

  test('takes the firm’s own lock where a plug was only in sight', () => {
    const plug = [opened(MARA), did('off'), did('unplug')];
    expect(found([...plug, parkedShut({ lock: 'F1' })])).toEqual([]);
    expect(found([...plug, parkedShut({ lock: 'F1' }), resumed(), parkedShut()])).toEqual([]);
  });

  test('leaves the firm’s lock in place of the person’s', () => {
    const back = [...ISOLATED, parkedShut({ lock: 'F1' }), resumed(), joined(ODE), left(MARA)];
    expect(found(back)).toEqual([]);
    const own = [...ISOLATED, parkedShut(), resumed(), joined(ODE), left(MARA)];
    expect(found(own)).toEqual(['P10 person.left']);
  });
});

describe('P10: leaving', () => {
  test('takes every lock of one’s own along', () => {
    const two = [opened(MARA, ODE), did('lock', { lock: 'O1' }, ODE)];
    expect(found([...two, left(ODE, ['O1'])])).toEqual([]);
    expect(found([...two, left(ODE)])).toEqual(['P10 person.left']);
  });

  test('the last one does not simply leave', () => {
    expect(found([opened(MARA), left(MARA)])).toEqual(['P10 person.left']);
    expect(found([opened(MARA), toolsDown(), left(MARA)])).toEqual(['P10 person.left']);
    expect(found([opened(MARA, ODE), left(MARA), left(ODE)])).toEqual(['P10 person.left']);
    const refused = other('job.refused', { why: 'wet', left: [] });
    expect(found([opened(MARA), refused, left(MARA)])).toEqual([]);
  });

  test('a job is handed to somebody who is there', () => {
    expect(found([opened(MARA), joined(ODE), handedOver()])).toEqual([]);
    expect(found([opened(MARA), handedOver()])).toEqual(['P10 job.handedOver']);
    expect(found([opened(MARA, ODE), handedOver(), left(ODE)])).toEqual(['P10 person.left']);
  });

  test('a signature is asked only where the checklist has one', () => {
    const unsigned = polisherWith({ steps: POLISHER.steps.filter((step) => step.do !== 'sign') });
    expect(found([...without(done, 'done'), closed()], unsigned)).toEqual([]);
    expect(found([...without(done, 'done'), closed()])).toEqual(['P10 job.closed']);
  });
});
