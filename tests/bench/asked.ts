/** What `npm run bench` was asked for: the benches by name, the options, the help, and what cannot be asked. */
import { parseArgs } from 'node:util';

/** By name, in the order of the table: what each measures, and how long it took when it was last taken. */
export const BENCHES = {
  decide: {
    says: 'commands decided, beside a rules and a state-machine library',
    takes: '20 to 50 s',
  },
  explore: {
    says: 'states walked, beside a graph search and a model checker',
    takes: '1 to 2 min',
  },
  seal: { says: 'entries sealed, beside the bare signature and a signed log', takes: '25 s' },
  verify: {
    says: 'a bag of 10,000 entries and one of a thousand megabytes, beside what they cannot do without',
    takes: '3 to 12 min and 1 GB of disk',
  },
  fold: { says: 'a record to its state, beside parsing it', takes: '30 s' },
  store: { says: 'a tap until it is stored, in a browser, beside a bare put', takes: '2 min' },
  ingest: { says: 'entries taken in by the server, beside their signatures alone', takes: '3 min' },
  audit: {
    says: 'questions of the office over ten million entries',
    takes: '8 min and 7 GB of disk',
  },
  office: {
    says: 'pages of the office, answered by the built server (--jobs)',
    takes:
      '2 to 12 min and 1 GB of disk; with 100,000 jobs a quarter of an hour to an hour and a half, and 7 GB',
  },
  load: { says: 'the list of jobs in a browser on a slow network', takes: '3 min' },
} as const satisfies Readonly<Record<string, { readonly says: string; readonly takes: string }>>;

export type BenchName = keyof typeof BENCHES;

const NAMES = Object.keys(BENCHES) as readonly BenchName[];

/** Of the office in the table; a store ten times as large is what its goal speaks of. */
const OFFICE_JOBS = 10_000;

export interface Asked {
  readonly chosen: readonly BenchName[];
  readonly print: 'words' | 'json' | 'table';
  /** How often each pair is taken. */
  readonly rounds: number;
  /** Jobs of the row `office`. */
  readonly jobs: number;
  /** A commit whose sources are measured as well, and how often each of the two is. */
  readonly before: { readonly ref: string; readonly turns: number } | null;
}

const OPTIONS = {
  help: { type: 'boolean', short: 'h' },
  json: { type: 'boolean' },
  table: { type: 'boolean' },
  rounds: { type: 'string' },
  jobs: { type: 'string' },
  before: { type: 'string' },
  turns: { type: 'string' },
} as const;

const DEFAULTS = { rounds: 9, turns: 5 };

export const HELP = [
  'npm run bench -- [NAME …] [options]    without a name: all of them, one after the other, in 8 to 50 minutes',
  '',
  ...Object.entries(BENCHES).flatMap(([name, { says, takes }]) => [
    `  ${name.padEnd(8)} ${says}`,
    `  ${' '.repeat(8)} ${takes}`,
  ]),
  '',
  'The longer times are those of two cores with other work on them.',
  '',
  '  --table        the rows as the table of the README has them',
  '  --json         the rows as JSON',
  `  --rounds N     how often each pair is taken, 1 or more (${DEFAULTS.rounds})`,
  `  --jobs N       jobs in the store of the row office, from 1,000 on (${OFFICE_JOBS}; its goal is for 100,000)`,
  '  --before REF   on the sources of that commit as well, turn by turn; prints both',
  `  --turns N      how often each of the two is run (${DEFAULTS.turns})`,
].join('\n');

type Answer =
  | { readonly kind: 'run'; readonly asked: Asked }
  | { readonly kind: 'help' }
  | { readonly kind: 'unusable'; readonly says: string };

const SEE = 'npm run bench -- --help lists what there is.';

function wholeNumber(text: string | undefined, otherwise: number, least: number): number | null {
  if (text === undefined) return otherwise;
  const number = Number(text);
  return /^\d+$/.test(text) && number >= least && Number.isSafeInteger(number) ? number : null;
}

const isName = (name: string): name is BenchName => NAMES.includes(name as BenchName);

/** Reads the arguments of the command; what is wrong with them comes as one sentence. */
export function askedOf(args: readonly string[]): Answer {
  const unusable = (says: string): Answer => ({ kind: 'unusable', says: `${says} ${SEE}` });
  let parsed;
  try {
    parsed = parseArgs({ args: [...args], allowPositionals: true, options: OPTIONS });
  } catch (error) {
    const says = error instanceof Error ? (error.message.split(/\. |\n/, 1)[0] ?? '') : '';
    return unusable(`${says.replace(/\.$/, '')}.`);
  }
  const { values, positionals } = parsed;
  if (values.help === true) return { kind: 'help' };
  const unknown = positionals.filter((name) => !isName(name));
  if (unknown.length > 0)
    return unusable(`There is no bench ${unknown.join(', ')}; there are: ${NAMES.join(', ')}.`);
  const rounds = wholeNumber(values.rounds, DEFAULTS.rounds, 1);
  const turns = wholeNumber(values.turns, DEFAULTS.turns, 1);
  // A store of fewer has no tenth to be filled first.
  const jobs = wholeNumber(values.jobs, OFFICE_JOBS, 1000);
  if (rounds === null || turns === null)
    return unusable('--rounds and --turns want a whole number, 1 or more.');
  if (jobs === null) return unusable('--jobs wants a whole number, 1000 or more.');
  const { before: ref, json, table } = values;
  if (json === true && table === true) return unusable('Ask for --json or for --table, not both.');
  if (ref !== undefined && (json === true || table === true))
    return unusable('--before prints lines, neither --json nor --table.');
  if (values.turns !== undefined && ref === undefined)
    return unusable('--turns belongs to --before.');
  const chosen = positionals.filter(isName);
  const asked: Asked = {
    chosen: chosen.length > 0 ? [...new Set(chosen)] : NAMES,
    print: json === true ? 'json' : table === true ? 'table' : 'words',
    rounds,
    jobs,
    before: ref === undefined ? null : { ref, turns },
  };
  return { kind: 'run', asked };
}
