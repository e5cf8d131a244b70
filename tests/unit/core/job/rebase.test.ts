import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { editsBetween } from '#lib/core/checklist/revision-edits.ts';
import type { Command } from '#lib/core/job/commands.ts';
import { decide } from '#lib/core/job/decide.ts';
import type { JobEvent } from '#lib/core/job/events.ts';
import { evolve } from '#lib/core/job/evolve.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { planOf } from '#lib/core/job/plan.ts';
import { FRESH, initialState, UNCHECKED, type JobState } from '#lib/core/job/state.ts';
import { runMonitors } from '#lib/core/safety/index.ts';
import { checklistOf, checklistText } from '../../../support/checklist-texts.ts';

const OLD = '0'.repeat(64);
const NEW = '1'.repeat(64);

function commandsOf(list: string): Command[] {
  const file = list === 'range-door-lock' ? 'range-whole-job' : `${list}-whole-job`;
  return readFileSync(`tests/replays/${file}.jsonl`, 'utf8')
    .split('\n')
    .filter((line) => line.startsWith('{'))
    .map((line) => {
      const read = parseCommand(JSON.parse(line));
      if (!read.ok) throw new Error(read.says);
      return read.command;
    });
}

/** Every state of one whole job, with the command that comes next and what happened before. */
function walk(checklist: Checklist, commands: readonly Command[]) {
  let state = initialState(planOf(checklist), OLD);
  let events: readonly JobEvent[] = [];
  return commands.map((command) => {
    const here = { state, events, command };
    const decided = decide(state, command).events;
    state = decided.reduce(evolve, state);
    events = [...events, ...decided];
    return here;
  });
}

const shipped = (name: string) => checklistOf(checklistText(`${name}.yaml`, 'shipped'));

const stampOf = ({ at, mono, boot, by }: Command) => ({ at, mono, boot, by });

function rebased(before: Checklist, after: Checklist, command: Command, why = 'a new limit') {
  const edits = editsBetween(before, after) ?? [];
  const given = { ...stampOf(command), command: 'rebase', sha256: NEW, edits, why };
  const read = parseCommand(JSON.parse(JSON.stringify(given)));
  if (!read.ok) throw new Error(read.says);
  return read.command;
}

const codes = (state: JobState, command: Command) =>
  decide(state, command).refusals.map(({ key }) => key);

/** The same list with other words and a lower limit for dead. */
function reworded(list: Checklist): Checklist {
  const sources = Object.entries(list.sources).map(([id, source]) => [
    id,
    source.dead === undefined ? source : { ...source, dead: { ...source.dead, below: '1 V' } },
  ]);
  const steps = list.steps.map((step) => ({ ...step, say: `${step.say} Look twice.` }));
  return { ...list, revision: list.revision + 1, sources: Object.fromEntries(sources), steps };
}

/** What any gate can ask; facts carry the words for people. */
function standing({ plan, facts, clock, ...rest }: JobState) {
  return {
    list: plan.checklist.revision,
    ended: facts.map((fact) => fact?.result),
    ran: clock.ran,
    ...rest,
  };
}

const LISTS = ['dryer-no-heat', 'range-door-lock', 'microwave-no-heat', 'fryer-element'];

describe.each(LISTS)('going over to a newer revision of %s', (name) => {
  const list = shipped(name);
  const newer = reworded(list);
  const places = walk(list, commandsOf(name));
  const atWork = places.filter(({ state }) => state.status === 'atWork');
  // The words of forty steps may be more than an entry holds; then it says so (see below).
  const short = { ...newer, steps: list.steps };

  test('keeps the place and ends as much as laying down tools and every test and release do', () => {
    let compared = 0;
    for (const { state, events, command } of atWork) {
      if (state.window !== undefined) continue;
      const decision = decide(state, rebased(list, short, command));
      expect(decision.refusals).toEqual([]);
      const here = decision.events.reduce(evolve, state);
      const stamp = stampOf(command);
      const asWalked = events.reduce(evolve, initialState(planOf(short), NEW));
      const laid = [
        ...decision.events.filter(({ type }) => type !== 'job.rebased'),
        { ...stamp, type: 'tools.down', body: { why: '' } },
        { ...stamp, type: 'job.resumed', body: {} },
      ] as JobEvent[];
      const there = laid.reduce(evolve, asWalked);
      const ends = new Set(['case', 'release']);
      const marks = there.marks.map((mark, at) =>
        ends.has(there.plan.steps[at]?.do ?? '') ? mark & ~(FRESH | UNCHECKED) : mark,
      );
      expect(standing(here)).toEqual(standing({ ...there, marks }));
      const { prove, case: tests, release, tell, clear } = here.plan.ofKind;
      for (const at of [...prove, ...tests, ...release, ...tell, ...clear])
        expect((here.marks[at] ?? 0) & FRESH).toBe(0);
      compared += 1;
    }
    expect(compared).toBeGreaterThan(20);
  });

  test('no property is broken by it, and a step done on the proof from before breaks P5', () => {
    const at = atWork.findIndex(
      ({ state, command }) =>
        command.command === 'do' &&
        state.plan.steps[state.plan.stepIndex.get(command.step) ?? -1]?.exposes.length !== 0 &&
        state.plan.ofKind.prove.some((step) => ((state.marks[step] ?? 0) & FRESH) !== 0),
    );
    const place = atWork[at];
    if (place === undefined || place.command.command !== 'do') throw new Error('no exposed step');
    const { state, events, command } = place;
    const over = decide(state, rebased(list, short, command)).events;
    expect(runMonitors(list, [...events, ...over])).toEqual(
      runMonitors(list, [...events, ...over.filter(({ type }) => type !== 'job.rebased')]),
    );
    const after = over.reduce(evolve, state);
    expect(codes(after, command)).toContain('proofStale');
    const forged = decide(state, command).events;
    const { P5 } = runMonitors(list, [...events, ...over, ...forged]);
    expect(P5.violations.map(({ says }) => says).join()).toMatch(
      /has ended and was not made again/,
    );
  });

  test('other steps or gates begin anew, and only on a machine that stands as it was found', () => {
    const [first, ...rest] = list.steps;
    const added = { ...rest.find((step) => step.do === 'confirm'), id: 'one-more', needs: [] };
    const other = {
      ...list,
      revision: list.revision + 1,
      steps: [first, added, ...rest],
    } as Checklist;
    let anew = 0;
    for (const { state, events, command } of atWork) {
      if (state.window !== undefined) continue;
      const decision = decide(state, rebased(list, other, command));
      const untouched =
        state.points.every((point) => point === 0) &&
        state.locks.length + state.openEnds === 0 &&
        state.connectors.every(({ open }) => !open);
      expect(decision.refusals.map(({ key }) => key)).toEqual(untouched ? [] : ['rebaseStands']);
      if (!untouched) {
        // A record that says so all the same: judged, not believed.
        const edits = editsBetween(list, other) ?? [];
        const checklist = { id: list.id, revision: other.revision, sha256: NEW };
        const body = { checklist, edits, why: 'x' };
        const forged = { ...stampOf(command), type: 'job.rebased', body } as unknown as JobEvent;
        expect(runMonitors(list, [...events, forged]).P8.violations.at(-1)?.says).toMatch(
          /while something is cut/,
        );
        expect(evolve(state, forged).plan.checklist.revision).toBe(list.revision);
        continue;
      }
      const here = decision.events.reduce(evolve, state);
      expect(here.frontier).toBe(0);
      expect(here.marks).toHaveLength(other.steps.length);
      expect(here.people.map(({ id }) => id)).toEqual(state.people.map(({ id }) => id));
      expect(runMonitors(list, [...events, ...decision.events]).P8.holds).toBe(true);
      anew += 1;
    }
    expect(anew).toBeGreaterThan(1);
  });
});

describe('what is refused', () => {
  const list = shipped('dryer-no-heat');
  const [, second, ...later] = walk(list, commandsOf('dryer-no-heat'));
  if (second === undefined) throw new Error('an empty job');
  const { state, command } = second;
  const next = (change: Partial<Checklist>): Checklist => ({
    ...list,
    revision: list.revision + 1,
    ...change,
  });

  test('an older revision, another list, edits that fit nothing, and no reason', () => {
    expect(codes(state, rebased(list, next({ revision: list.revision }), command))).toEqual([
      'rebaseBad',
    ]);
    expect(codes(state, rebased(list, next({ id: 'another' }), command))).toEqual(['rebaseBad']);
    expect(codes(state, rebased(list, next({ language: 'es' }), command))).toEqual(['rebaseBad']);
    expect(codes(state, rebased(list, next({}), command, ' '))).toEqual(['whyMissing']);
  });

  test('what was attested in other words, until it is corrected', () => {
    const confirm = later.find(
      ({ command: done, state: at }) =>
        done.command === 'do' &&
        at.plan.steps[at.plan.stepIndex.get(done.step) ?? -1]?.do === 'confirm',
    );
    if (confirm?.command.command !== 'do') throw new Error('no confirm step');
    const { step } = confirm.command;
    const steps = list.steps.map((each) =>
      each.id === step ? { ...each, states: 'Something else' } : each,
    ) as Checklist['steps'];
    const done = decide(confirm.state, confirm.command).events.reduce(evolve, confirm.state);
    const asked = rebased(list, next({ steps }), confirm.command);
    expect(codes(confirm.state, asked)).toEqual([]);
    expect(codes(done, asked)).toEqual(['rebaseDone']);
  });

  test('more than an entry can hold', () => {
    const steps = list.steps.map((step) => ({ ...step, why: 'because '.repeat(200) }));
    expect(codes(state, rebased(list, next({ steps }), command))).toEqual(['rebaseLong']);
  });

  test('a job that is stopped, parked or ended', () => {
    const down = evolve(state, {
      ...stampOf(command),
      type: 'tools.down',
      body: { why: '' },
    });
    expect(codes(down, rebased(list, next({}), command))).toEqual(['toolsDown']);
    const held = evolve(state, { ...stampOf(command), type: 'evidence.held', body: { why: '' } });
    expect(codes(held, rebased(list, next({}), command))).toEqual(['ended']);
  });

  test('a stranger’s edits never break the fold', () => {
    for (const to of [null, 7, { steps: null }, { id: 'x', do: 'no-such' }]) {
      const body = {
        checklist: { id: list.id, revision: 99, sha256: NEW },
        edits: [
          { at: ['revision'], to: 99 },
          { at: ['sources'], to },
        ],
        why: 'x',
      };
      const event = { ...stampOf(command), type: 'job.rebased', body } as unknown as JobEvent;
      // Whether what they lead to is a checklist at all is judged where the bag is.
      expect(evolve(state, event).status).toBe('atWork');
      expect(() => runMonitors(list, [...second.events, event])).not.toThrow();
    }
  });
});
