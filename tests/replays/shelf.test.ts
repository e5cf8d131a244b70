/**
 * One whole job of every other shipped checklist, and the accident that it would have stopped, as
 * commands that the real `replay` runs. The range has its own file.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { decide } from '#lib/core/job/decide.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { planOf } from '#lib/core/job/plan.ts';
import type { RefusalCode } from '#lib/core/job/refusal.ts';
import { initialState } from '#lib/core/job/state.ts';
import { runMonitors } from '#lib/core/safety/index.ts';
import { run } from '../../src/cli/main.ts';
import { checklistNames, checklistOf, checklistText } from '../support/checklist-texts.ts';
import { heard } from '../support/heard.ts';

interface Accident {
  /** What happened, and where it is told. */
  readonly happened: string;
  /** Codes by line; every other line is accepted. */
  readonly refused: Readonly<Record<number, readonly RefusalCode[]>>;
  readonly says: RegExp;
}

const ACCIDENTS: Readonly<Record<string, Accident>> = {
  'dryer-no-heat': {
    happened: 'A new cut-out went in with the lint still there; the dryer burned (USFA material).',
    refused: { 23: ['order'] },
    says: /“lint” comes first/,
  },
  'microwave-no-heat': {
    happened: 'A hand went into an oven whose cover was off and whose plug was in (FACE 94MD038).',
    refused: { 11: ['order', 'not-dead'], 12: ['order', 'not-dead'] },
    says: /“unplug” comes first/,
  },
  'water-heater-element': {
    happened: 'A second feed through a timer killed at a dead breaker (SafeWork SA alert of 2020).',
    refused: { 19: ['not-dead'], 20: ['order', 'case-unknown', 'not-dead', 'lock-owner'] },
    says: /Pair L2-G reads 118\.6 V|“dead” comes first/,
  },
  'dishwasher-drain-pump': {
    happened: 'A wash cycle was run with the panels off to watch it (court report of 2009, Elgin).',
    refused: {
      9: ['order', 'stored', 'must-wear'],
      10: ['order', 'not-dead', 'lock-owner', 'stored'],
    },
    says: /“unplug” comes first/,
  },
  'ac-capacitor-contactor': {
    happened: 'A fan was stopped through the building system and came on (OSHA, August 2022).',
    refused: { 10: ['control-not-isolator'], 11: ['control-not-isolator'] },
    says: /is a control, not an isolating device/,
  },
  'furnace-igniter': {
    happened: 'A toggle switch stood at off, wired so that the power stayed on (training text).',
    refused: { 11: ['control-not-isolator'], 12: ['order', 'must-wear'] },
    says: /“toggle switch” is a control|“breaker-off” comes first/,
  },
  'washer-lid-lock': {
    happened: 'A washer was moved whose case was live from a receptacle wired the wrong way round.',
    refused: { 5: ['order', 'case-unknown'], 6: ['case-live'] },
    says: /“case” comes first|case-ground reads 117\.3 V/,
  },
  'slicer-service': {
    happened:
      'A glove was drawn into a machine that came back to power (common practice, no source).',
    refused: { 35: ['order', 'must-not-wear', 'lock-owner'] },
    says: /cut-resistant gloves A5/,
  },
  'garage-door-operator': {
    happened: 'A door that nothing held came free of its operator and flew up (FACE 04NY135).',
    refused: { 12: ['order'], 13: ['order', 'not-dead', 'stored'] },
    says: /“clamps-on” comes first/,
  },
  'ev-charge-point': {
    happened:
      'A house fed by its vehicle kept a cut circuit alive (common hazard, no single report).',
    refused: { 19: ['not-dead'], 20: ['order', 'not-dead', 'lock-owner', 'stored'] },
    says: /Pair L1-L2 reads 238\.9 V|“dead-connector” comes first/,
  },
  'pv-string-isolator': {
    happened: 'A loose tail of a string under load was parted, and it arced (training-body alert).',
    refused: { 13: ['order'], 15: ['interlock'] },
    says: /“no-current” (?:comes first|did not pass)/,
  },
  'bench-grinder': {
    happened: 'A glove was caught at a machine that turned (offshore regulator, alert 15).',
    refused: { 7: ['order', 'must-wear', 'must-not-wear'] },
    says: /“dressed” comes first/,
  },
  'fryer-element': {
    happened: 'Hot oil was drained into a pot on a walkway; a cook fell over it (OSHA 202540936).',
    refused: { 15: ['stored'], 16: ['order', 'stored'], 17: ['order'] },
    says: /The residual of “Oil in the vat” is 152\.0 °C|“cool” comes first/,
  },
};

const checklist = (id: string) => checklistOf(checklistText(`${id}.yaml`, 'shipped'));
const whole = (id: string) => `tests/replays/${id}-whole-job.jsonl`;
const stopped = (id: string) => `checklists/accidents/${id}.jsonl`;

interface Replayed {
  readonly ok: boolean;
  readonly results: readonly {
    readonly line: number;
    readonly accepted: boolean;
    readonly refusals: readonly { readonly code: RefusalCode; readonly says: string }[];
  }[];
  readonly state: { readonly status: string; readonly openEnds: readonly string[] };
}

async function replay(id: string, file: string) {
  const { io, documents } = heard();
  const status = await run(['replay', `checklists/${id}.yaml`, file, '--json'], io);
  return { status, document: documents[0] as Replayed };
}

function eventsOf(id: string, file: string): readonly JobEvent[] {
  let state = initialState(planOf(checklist(id)), '0'.repeat(64));
  const events: JobEvent[] = [];
  for (const line of readFileSync(file, 'utf8').trim().split('\n')) {
    const read = parseCommand(JSON.parse(line));
    if (!read.ok) throw new Error(read.says);
    const decided = decide(state, read.command);
    state = decided.events.reduce(evolve, state);
    events.push(...decided.events);
  }
  return events;
}

function brokenIn(id: string, file: string): string[] {
  const verdicts = runMonitors(checklist(id), eventsOf(id, file));
  return Object.entries(verdicts).flatMap(([property, { holds }]) => (holds ? [] : [property]));
}

test('every checklist of the shelf has its whole job and its accident', () => {
  const ids = checklistNames('shipped').map((name) => name.replace('.yaml', ''));
  expect([...Object.keys(ACCIDENTS), 'range-door-lock'].toSorted()).toEqual(ids.toSorted());
});

describe.each(Object.keys(ACCIDENTS))('%s: a whole job', (id) => {
  const name = whole(id);

  test('is handed back, and every connector taken off is on again', async () => {
    const { status, document } = await replay(id, name);
    expect(document.results.filter(({ accepted }) => !accepted)).toEqual([]);
    expect(status).toBe(0);
    expect(document.state).toMatchObject({ status: 'handedBack', openEnds: [] });

    const done = eventsOf(id, name).flatMap((each) =>
      each.type === 'step.done' ? [each.body] : [],
    );
    const off = done.flatMap(({ result }) => result?.connectors ?? []);
    const on = done.flatMap(({ result }) => result?.connector ?? []);
    expect(off.length).toBeGreaterThanOrEqual(3);
    expect(on.toSorted()).toEqual(off.map((each) => each.id).toSorted());
  });

  test('keeps every property', () => {
    expect(brokenIn(id, name)).toEqual([]);
  });

  test('finds what failed by a reading, and no act is quicker than it can be', () => {
    const events = eventsOf(id, name);
    const judged = events.flatMap((each) =>
      each.type === 'step.done' ? [each.body.result?.verdict] : [],
    );
    const looked = id === 'ev-charge-point'; // a browned tail is seen, not measured
    expect(judged.includes('fail')).toBe(!looked);
    const least = new Map(checklist(id).steps.map((step) => [step.id, step.takes ?? '0 s']));
    events.forEach((each, at) => {
      // What lapsed by the clock is noted at the same moment, just before.
      const before = events.slice(0, at).findLast((other) => other.at !== each.at);
      if (each.type !== 'step.done' || before === undefined) return;
      const seconds = (Date.parse(each.at) - Date.parse(before.at)) / 1000;
      expect(seconds, each.body.step).toBeGreaterThanOrEqual(
        Number.parseFloat(least.get(each.body.step) ?? '0'),
      );
    });
  });
});

describe.each(Object.entries(ACCIDENTS))('%s: what was stopped', (id, accident) => {
  const name = stopped(id);

  test(accident.happened, async () => {
    const { status, document } = await replay(id, name);
    expect(status).toBe(1);
    const refused = document.results.filter(({ accepted }) => !accepted);
    const codes = refused.map(({ line, refusals }) => [
      line,
      [...new Set(refusals.map(({ code }) => code))],
    ]);
    expect(Object.fromEntries(codes)).toEqual(accident.refused);
    for (const { refusals } of refused) {
      expect(refusals.map(({ says }) => says).join('\n')).toMatch(accident.says);
    }
  });

  test('leaves a record that keeps every property', () => {
    expect(brokenIn(id, name)).toEqual([]);
  });
});
