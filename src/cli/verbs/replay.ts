import { readFileSync } from 'node:fs';
import type { Checklist } from '../../lib/core/checklist/model.ts';
import { decide } from '../../lib/core/job/decide.ts';
import { evolve } from '../../lib/core/job/evolve.ts';
import type { JobEvent } from '../../lib/core/job/events.ts';
import { parseCommand } from '../../lib/core/job/parse-command.ts';
import { planOf } from '../../lib/core/job/plan.ts';
import type { Refusal } from '../../lib/core/job/refusal.ts';
import { initialState, type JobState } from '../../lib/core/job/state.ts';
import { viewOf } from '../../lib/core/job/view.ts';
import { runMonitors } from '../../lib/core/safety/index.ts';
import { readArguments } from '../arguments.ts';
import { loadFile } from '../checklist-file.ts';
import { planLacking } from '../prove-gates.ts';
import { recordDemonstration } from '../record-demonstration.ts';
import { doesNotHold, holds, Unusable, type Io, type Verb } from '../verb.ts';

interface LineResult {
  readonly line: number;
  readonly accepted: boolean;
  readonly events: readonly string[];
  readonly refusals: readonly { code: string; says: string; clears: readonly string[] }[];
}

/** A property that the events broke, and at which line. */
interface Broken {
  readonly property: string;
  readonly line: number;
  readonly says: string;
}

interface Replayed {
  readonly results: readonly LineResult[];
  /** Line of each event. */
  readonly lines: readonly number[];
  readonly events: readonly JobEvent[];
  readonly state: JobState;
}

const LONGEST_LINE = 64 * 1024;
const MOST_LINES = 100_000;

function readCommands(path: string): readonly { line: number; value: unknown }[] {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch {
    throw new Unusable(`There is no file ${path} to read commands from.`);
  }
  const lines = text.split('\n').map((value, at) => ({ line: at + 1, value: value.trim() }));
  const filled = lines.filter(({ value }) => value !== '');
  if (filled.length > MOST_LINES)
    throw new Unusable(`${path} holds more than ${MOST_LINES} lines.`);
  return filled.map(({ line, value }) => {
    if (value.length > LONGEST_LINE) throw new Unusable(`${path}:${line} is longer than 64 KiB.`);
    try {
      return { line, value: JSON.parse(value) as unknown };
    } catch (error) {
      throw new Unusable(`${path}:${line} is not JSON: ${(error as Error).message}.`);
    }
  });
}

/** A line that is JSON but no command is a refusal like any other: it never reaches the engine. */
function unreadable(says: string): Pick<Refusal, 'code' | 'says' | 'clears'> {
  return { code: 'bad-input', says, clears: [] };
}

function replay(start: JobState, commands: readonly { line: number; value: unknown }[]): Replayed {
  let state = start;
  const events: JobEvent[] = [];
  const lines: number[] = [];
  const results = commands.map(({ line, value }): LineResult => {
    const parsed = parseCommand(value);
    if (!parsed.ok) {
      return { line, accepted: false, events: [], refusals: [unreadable(parsed.says)] };
    }
    const decision = decide(state, parsed.command);
    state = decision.events.reduce(evolve, state);
    events.push(...decision.events);
    lines.push(...decision.events.map(() => line));
    return {
      line,
      accepted: decision.accepted,
      events: decision.events.map((event) => event.type),
      refusals: decision.refusals.map(({ code, says, clears }) => ({ code, says, clears })),
    };
  });
  return { results, lines, events, state };
}

/** The properties over what was replayed; they judge by the whole checklist, whatever was taken out. */
function brokenIn(checklist: Checklist, { events, lines }: Replayed): Broken[] {
  return Object.values(runMonitors(checklist, events)).flatMap(({ violations }) =>
    violations.map(({ property, at, says }) => ({ property, line: lines[at] ?? 0, says })),
  );
}

/** What `--json` says of the state at the end. */
function summaryOf(state: JobState) {
  const by = state.people.find((person) => person.present)?.id ?? state.people[0]?.id ?? '';
  const view = viewOf(state, state.clock, by);
  const windowOpen = view.window === undefined ? {} : { window: view.window.source };
  return {
    status: view.status,
    ...(view.current === undefined ? {} : { next: view.current.id }),
    ready: view.ready.map((step) => step.id),
    openEnds: view.openEnds.map((end) => end.id),
    sources: Object.fromEntries(
      view.sources.map((source) => [
        source.id,
        {
          state: source.state,
          points: Object.fromEntries(source.points.map((point) => [point.id, point.position])),
          locks: source.points.flatMap((point) => point.locks.map((lock) => lock.number)),
          ...(source.caseTest === undefined ? {} : { caseTest: source.caseTest }),
          ...(source.keepsMs === undefined ? {} : { keepsMs: source.keepsMs }),
        },
      ]),
    ),
    ...windowOpen,
  };
}

function tell(io: Io, replayed: Replayed, broken: readonly Broken[]): void {
  for (const result of replayed.results) {
    io.print(
      `${result.line}: ${result.accepted ? 'accepted' : 'refused'} ${result.events.join(' ')}`,
    );
    for (const { code, says, clears } of result.refusals) {
      const opens = clears.length > 0 ? ` (opens with: ${clears.join(', ')})` : '';
      io.print(`    ${code}: ${says}${opens}`);
    }
  }
  const summary = summaryOf(replayed.state);
  io.print(`Status: ${summary.status}. Ready: ${summary.ready.join(', ') || 'nothing'}.`);
  if (summary.openEnds.length > 0) io.print(`Still open: ${summary.openEnds.join(', ')}.`);
  if (replayed.results.some((result) => !result.accepted))
    io.print('At least one command was refused.');
  for (const { property, line, says } of broken)
    io.print(`Line ${line} breaks ${property}: ${says}.`);
}

/** Feeds recorded commands to the engine. */
export default {
  summary: 'feeds recorded commands to the engine and says what was accepted or refused',
  usage: 'replay CHECKLIST COMMANDS.jsonl [--record DIR | --without GATE] [--json]',
  example: 'stillwire replay checklists/range-door-lock.yaml tests/replays/range-whole-job.jsonl',
  details: [
    '--record DIR  also writes a sealed record with throw-away keys, marked as a demonstration',
    '--without GATE  with one gate taken out, to see what breaks: what prove --without GATE found',
  ],
  async run(args, io) {
    const { positionals, values, json } = readArguments(args, {
      record: { type: 'string' },
      without: { type: 'string' },
    });
    const [file, commandsFile, more] = positionals;
    if (file === undefined || commandsFile === undefined || more !== undefined) {
      throw new Unusable(
        'Give one checklist and one file of commands: replay CHECKLIST COMMANDS.jsonl.',
      );
    }
    const read = loadFile(file);
    const { without } = values;
    if (without !== undefined && values.record !== undefined)
      throw new Unusable(
        'A record is made with every gate in place: leave out --record or --without.',
      );
    const whole = planOf(read.checklist);
    const plan = without === undefined ? whole : planLacking(whole, without);
    const commands = readCommands(commandsFile);
    const replayed = replay(initialState(plan, read.sha256), commands);
    const broken = brokenIn(read.checklist, replayed);
    const ok = replayed.results.every((result) => result.accepted) && broken.length === 0;
    if (values.record !== undefined) {
      await recordDemonstration(values.record, file, read, replayed.events);
    }
    const { results, state } = replayed;
    if (json) io.printJson({ ok, results, broken, state: summaryOf(state) });
    else tell(io, replayed, broken);
    return ok ? holds : doesNotHold;
  },
} satisfies Verb;
