import { readFileSync } from 'node:fs';
import { decide } from '../../lib/core/job/decide.ts';
import { evolve } from '../../lib/core/job/evolve.ts';
import type { JobEvent } from '../../lib/core/job/events.ts';
import { parseCommand } from '../../lib/core/job/parse-command.ts';
import { planOf } from '../../lib/core/job/plan.ts';
import type { Refusal } from '../../lib/core/job/refusal.ts';
import { initialState, type JobState } from '../../lib/core/job/state.ts';
import { viewOf } from '../../lib/core/job/view.ts';
import { readArguments } from '../arguments.ts';
import { loadFile } from '../checklist-file.ts';
import { recordDemonstration } from '../record-demonstration.ts';
import { doesNotHold, holds, Unusable, type Io, type Verb } from '../verb.ts';

interface LineResult {
  readonly line: number;
  readonly accepted: boolean;
  readonly events: readonly string[];
  readonly refusals: readonly { code: string; says: string; clears: readonly string[] }[];
}

interface Replayed {
  readonly results: readonly LineResult[];
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
  const results = commands.map(({ line, value }): LineResult => {
    const parsed = parseCommand(value);
    if (!parsed.ok) {
      return { line, accepted: false, events: [], refusals: [unreadable(parsed.says)] };
    }
    const decision = decide(state, parsed.command);
    state = decision.events.reduce(evolve, state);
    events.push(...decision.events);
    return {
      line,
      accepted: decision.accepted,
      events: decision.events.map((event) => event.type),
      refusals: decision.refusals.map(({ code, says, clears }) => ({ code, says, clears })),
    };
  });
  return { results, events, state };
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

function tell(io: Io, replayed: Replayed, ok: boolean): void {
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
  if (!ok) io.print('At least one command was refused.');
}

/** Feeds recorded commands to the engine. */
export default {
  summary: 'feeds recorded commands to the engine and says what was accepted or refused',
  usage: 'replay CHECKLIST COMMANDS.jsonl [--record DIR] [--json]',
  example: 'stillwire replay checklists/range-door-lock.yaml tests/replays/range-whole-job.jsonl',
  details: [
    '--record DIR  also writes a sealed record with throw-away keys, marked as a demonstration',
  ],
  async run(args, io) {
    const { positionals, values, json } = readArguments(args, { record: { type: 'string' } });
    const [file, commandsFile, more] = positionals;
    if (file === undefined || commandsFile === undefined || more !== undefined) {
      throw new Unusable(
        'Give one checklist and one file of commands: replay CHECKLIST COMMANDS.jsonl.',
      );
    }
    const read = loadFile(file);
    const commands = readCommands(commandsFile);
    const replayed = replay(initialState(planOf(read.checklist), read.sha256), commands);
    const ok = replayed.results.every((result) => result.accepted);
    if (values.record !== undefined) {
      await recordDemonstration(values.record, file, read, replayed.events);
    }
    if (json) io.printJson({ ok, results: replayed.results, state: summaryOf(replayed.state) });
    else tell(io, replayed, ok);
    return ok ? holds : doesNotHold;
  },
} satisfies Verb;
