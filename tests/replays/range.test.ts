/**
 * The range checklist driven by scripts alone, through the command line: one whole job, and the ways in
 * which one is not done. Each script names what it tries; what it must be told stands here.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { run } from '../../src/cli/main.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { decide } from '#lib/core/job/decide.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { initialState } from '#lib/core/job/state.ts';
import { runMonitors } from '#lib/core/safety/index.ts';
import { engineWithout, type Engine, type Rule } from '../support/edited-engine.ts';
import { heard } from '../support/heard.ts';
import { range, SHA } from '../support/job-builder.ts';
import { BOTH_CHECKS, ISOLATORS_ONLY, NAMED_LOCK } from './rules.ts';

const CHECKLIST = 'checklists/range-door-lock.yaml';
const script = (name: string) => `tests/replays/range-${name}.jsonl`;

interface Replayed {
  readonly ok: boolean;
  readonly results: readonly {
    readonly line: number;
    readonly accepted: boolean;
    readonly events: readonly string[];
    readonly refusals: readonly { code: string; says: string; clears: readonly string[] }[];
  }[];
  readonly state: { readonly status: string; readonly openEnds: readonly string[] };
}

async function replay(name: string): Promise<{ status: number; document: Replayed }> {
  const { io, documents } = heard();
  const status = await run(['replay', CHECKLIST, script(name), '--json'], io);
  return { status, document: documents[0] as Replayed };
}

function eventsOf(name: string): readonly JobEvent[] {
  let state = initialState(range(), SHA);
  const events: JobEvent[] = [];
  for (const line of readFileSync(script(name), 'utf8').trim().split('\n')) {
    const read = parseCommand(JSON.parse(line));
    if (!read.ok) throw new Error(read.says);
    const decided = decide(state, read.command);
    state = decided.events.reduce(evolve, state);
    events.push(...decided.events);
  }
  return events;
}

test('a whole job: seven connectors off and on again, handed back in an hour', async () => {
  const { status, document } = await replay('whole-job');
  expect(document.results.filter(({ accepted }) => !accepted)).toEqual([]);
  expect(status).toBe(0);
  expect(document.state).toMatchObject({ status: 'handedBack', openEnds: [] });
  const events = eventsOf('whole-job');
  const reseated = events.filter(
    (each) => each.type === 'step.done' && each.body.step === 'rewire',
  );
  expect(reseated).toHaveLength(7);
  const [first, last] = [events[0]?.at ?? '', events.at(-1)?.at ?? ''];
  expect((Date.parse(last) - Date.parse(first)) / 60_000).toBeLessThan(75);
});

interface Attempt {
  readonly name: string;
  readonly tries: string;
  /** Codes by line; every other line is accepted. */
  readonly refused: Readonly<Record<number, readonly string[]>>;
  readonly says: RegExp;
  /** The gate, or the rule of reading a result, without which a line is not refused with this code. */
  readonly gate: { readonly line: number; readonly code: string; readonly out: string | Rule };
}

const ATTEMPTS: readonly Attempt[] = [
  {
    name: 'exposed-before-proof',
    gate: { line: 23, code: 'not-dead', out: 'dead' },
    tries: 'the rear cover before anything was proved dead',
    refused: { 23: ['order', 'not-dead'] },
    says: /“Range circuit, two hot legs and neutral” has not been proved dead/,
  },
  {
    name: 'meter-not-checked',
    gate: { line: 23, code: 'instrument', out: BOTH_CHECKS },
    tries: 'a proof with the meter checked on one side only, each way round',
    refused: { 23: ['instrument'], 24: ['instrument'] },
    says: /Check the meter on a known source (?:before the reading|again after the readings)/,
  },
  {
    name: 'lock-of-another',
    gate: { line: 62, code: 'lock-owner', out: NAMED_LOCK },
    tries: 'the lock of a helper who is here, three ways',
    refused: { 62: ['lock-owner'], 64: ['order', 'lock-owner'], 65: ['lock-owner'] },
    says: /ilse is here: a lock comes off by the hand of the person who put it on|Lock L-44 of ilse is still on/,
  },
  {
    name: 'top-still-propped',
    gate: { line: 52, code: 'open-ends', out: 'nothing-open' },
    tries: 'a roll call, the plug and the breaker with the top still on its prop',
    refused: {
      51: ['order', 'open-ends'],
      52: ['order', 'open-ends', 'roll-call', 'lock-owner'],
      53: ['order', 'open-ends', 'roll-call', 'lock-owner'],
    },
    says: /“Prop under the raised cooktop” is still open: close it/,
  },
  {
    name: 'after-lunch',
    gate: { line: 30, code: 'stale-proof', out: 'dead' },
    tries: 'going on after lunch, then again with briefing and heat done and no new proof',
    refused: {
      30: ['not-dead', 'stale-proof', 'stored', 'people'],
      33: ['not-dead', 'stale-proof'],
    },
    says: /has lapsed \(the machine was out of sight\): prove it again/,
  },
  {
    name: 'thermostat-as-isolator',
    gate: { line: 11, code: 'control-not-isolator', out: ISOLATORS_ONLY },
    tries: 'a thermostat and the oven selector in place of the breaker',
    refused: { 11: ['control-not-isolator'], 12: ['control-not-isolator'] },
    says: /“(?:thermostat|oven selector)” is a control, not an isolating device/,
  },
];

/** Codes that each line is refused with, by an engine that may lack something. */
function codesOf(name: string, without: readonly string[], engine: Engine): readonly string[][] {
  const plan = engine.planOf(range().checklist, without);
  let state = engine.initialState(plan, SHA);
  return readFileSync(script(name), 'utf8')
    .trim()
    .split('\n')
    .map((line) => {
      const read = parseCommand(JSON.parse(line));
      if (!read.ok) throw new Error(read.says);
      const decided = engine.decide(state, read.command);
      state = decided.events.reduce(engine.evolve, state);
      return decided.refusals.map(({ code }) => code);
    });
}

describe.each(ATTEMPTS)('$tries', ({ name, refused, says, gate }) => {
  test('is not refused so once its gate is taken out', async () => {
    const { line, code, out } = gate;
    expect(refused[line]).toContain(code);
    const engine = await engineWithout(typeof out === 'string' ? [] : [out]);
    const codes = codesOf(name, typeof out === 'string' ? [out] : [], engine);
    expect(codes[line - 1]).not.toContain(code);
  });

  test('is refused, and nothing else is', async () => {
    const { status, document } = await replay(name);
    expect(status).toBe(1);
    const found = document.results.flatMap(({ line, accepted, refusals }) =>
      accepted ? [] : [[line, [...new Set(refusals.map(({ code }) => code))]] as const],
    );
    expect(Object.fromEntries(found)).toEqual(refused);
    for (const line of Object.keys(refused).map(Number)) {
      const own = document.results.find((each) => each.line === line)?.refusals ?? [];
      expect(own.map((each) => each.says).join('\n')).toMatch(says);
    }
  });

  test('leaves a record that keeps every property', () => {
    const verdicts = runMonitors(range().checklist, eventsOf(name));
    expect(Object.entries(verdicts).filter(([, { holds }]) => !holds)).toEqual([]);
    const tried = eventsOf(name).filter((event) => event.type === 'try.refused');
    expect(tried).toHaveLength(Object.keys(refused).length);
  });
});

test('the whole job keeps every property', () => {
  const verdicts = runMonitors(range().checklist, eventsOf('whole-job'));
  expect(Object.entries(verdicts).filter(([, { holds }]) => !holds)).toEqual([]);
});
