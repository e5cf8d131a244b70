import { describe, expect, test } from 'vitest';
import { INTERLOCK_GUARDS, LAPSE_GUARDS } from '#lib/core/prove/guards.ts';
import { runMonitors, type PropertyId } from '#lib/core/safety/index.ts';
import { A01 } from './a01-microwave.ts';
import { A03 } from './a03-dishwasher.ts';
import { A04 } from './a04-macerator.ts';
import { A06 } from './a06-trailer-washer.ts';
import { A07 } from './a07-closet-unit.ts';
import { A09 } from './a09-chiller.ts';
import { A10 } from './a10-oil-furnace.ts';
import { A12 } from './a12-lighting-circuit.ts';
import { A14 } from './a14-cold-counter.ts';
import { A16 } from './a16-oven.ts';
import { A18 } from './a18-boiler-switch.ts';
import { A19 } from './a19-industrial-washer.ts';
import { A21 } from './a21-storage-lift.ts';
import { A22 } from './a22-drill-press.ts';
import { A24 } from './a24-fryer.ts';
import { engineWithout } from '../support/edited-engine.ts';
import { checklistOf, play, type Attempt, type Played, type Replay } from './replay.ts';

const replays: readonly Replay[] = [
  A01,
  A03,
  A04,
  A06,
  A07,
  A09,
  A10,
  A12,
  A14,
  A16,
  A18,
  A19,
  A21,
  A22,
  A24,
];

const each = replays.flatMap((replay) =>
  replay.attempts.map((attempt) => ({ replay, attempt, title: `${replay.id} ${attempt.tries}` })),
);

/** The last decision, and the codes that it refused with. */
function lastOf({ decisions }: Played) {
  const last = decisions.at(-1);
  if (last === undefined) throw new Error('nothing was tried');
  return { ...last.decision, codes: last.decision.refusals.map((refusal) => refusal.code) };
}

function brokenBy(replay: Replay, played: Played): PropertyId[] {
  const verdicts = runMonitors(checklistOf(replay), played.events);
  return Object.values(verdicts)
    .flatMap((verdict) => verdict.violations)
    .map((violation) => violation.property)
    .filter((id, index, all) => all.indexOf(id) === index)
    .sort((a, b) => Number(a.slice(1)) - Number(b.slice(1)));
}

/** What leads to the attempt once it was refused: what opens it, or what is offered instead. */
function wayOut({ attempt, opens }: Attempt) {
  return 'never' in opens ? opens.never : [...opens, attempt];
}

describe.each(each)('$title', ({ replay, attempt }) => {
  const { given, attempt: act, refused } = attempt;
  const checklist = checklistOf(replay);

  test('everything before it is accepted', () => {
    const { decisions } = play(checklist, given);
    const refusals = decisions.flatMap(({ decision }) => decision.refusals);
    expect(refusals).toEqual([]);
  });

  test(`is refused as ${refused}, and the try is kept`, () => {
    const last = lastOf(play(checklist, [...given, act]));
    expect(last.accepted).toBe(false);
    expect(last.codes).toContain(refused);
    // Before the opening there is no record to keep it in.
    if (given.length > 0) expect(last.events.at(-1)).toMatchObject({ type: 'try.refused' });
  });

  test('opens with what is missing, or offers another way', () => {
    const tried = play(checklist, [...given, act, ...wayOut(attempt)]);
    const after = tried.decisions.slice(tried.decisions.length - countOf(wayOut(attempt)));
    expect(after.flatMap(({ decision }) => decision.refusals)).toEqual([]);
    expect(brokenBy(replay, tried)).toEqual([]);
    if ('never' in attempt.opens) {
      expect(lastOf(play(checklist, [...given, ...wayOut(attempt), act])).accepted).toBe(false);
    }
  });
});

describe.each(each)('$title, with what stood in its way taken out', ({ replay, attempt }) => {
  const { given, attempt: act, refused, gates = [], rules = [], breaks = [] } = attempt;
  const checklist = checklistOf(replay);

  test('something is named', () => {
    expect(gates.length + rules.length).toBeGreaterThan(0);
  });

  test('is not refused as it was', async () => {
    const engine = await engineWithout(gates.length > 0 ? [] : rules.slice(0, 1));
    const free = play(checklist, [...given, act], gates.slice(0, 1), engine);
    expect(lastOf(free).codes).not.toContain(refused);
  });

  test('is accepted, and breaks what the properties forbid', async () => {
    const free = play(checklist, [...given, act], gates, await engineWithout(rules));
    expect(lastOf(free).refusals).toEqual([]);
    expect(brokenBy(replay, free)).toEqual(breaks);
  });
});

const cited = Object.entries({ ...INTERLOCK_GUARDS, ...LAPSE_GUARDS }).flatMap(
  ([gate, { report }]) => (report === undefined ? [] : [{ gate, report }]),
);
test.each(cited)('$report stands behind the gate $gate, and its replay names it', (guard) => {
  const own = replays.filter(({ report }) => report === guard.report);
  expect(own).toHaveLength(1);
  if (guard.gate in LAPSE_GUARDS) return;
  const names = own.flatMap(({ attempts }) =>
    attempts.flatMap(({ gates, refused }) => [...(gates ?? []), refused]),
  );
  expect(names).toContain(guard.gate);
});

function countOf(taps: readonly object[]): number {
  return taps.filter((tap) => 'command' in tap).length;
}
