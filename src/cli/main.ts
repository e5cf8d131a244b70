// The command line: finds the verb, answers `--help`, and turns whatever goes wrong into one plain
// sentence and an exit status. What a verb does is in verbs/<verb>.ts, loaded only when asked for.
import { readdirSync } from 'node:fs';
import { processIo } from './process-io.ts';
import { holds, unusable, Unusable, type Io, type Verb } from './verb.ts';

/**
 * @param args what was typed after `stillwire`
 * @returns the exit status: 0 it holds, 1 it does not, 2 the input cannot be used
 */
export async function run(args: string[], io: Io = processIo()): Promise<number> {
  const [name, ...rest] = args;
  try {
    if (name === undefined || isHelp(name) || name === 'help') {
      io.print(await overview());
      return holds;
    }
    const verb = await loadVerb(name);
    if (asksForHelp(rest)) {
      io.print(describe(verb));
      return holds;
    }
    return await verb.run(rest, io);
  } catch (error) {
    const sentence = explain(error);
    io.complain(sentence);
    if (args.includes('--json')) io.printJson({ ok: false, error: sentence });
    return unusable;
  }
}

function verbNames(): string[] {
  return readdirSync(new URL('verbs/', import.meta.url))
    .filter((file) => file.endsWith('.ts'))
    .map((file) => file.slice(0, -'.ts'.length))
    .sort();
}

async function loadVerb(name: string): Promise<Verb> {
  if (!verbNames().includes(name))
    throw new Unusable(`There is no verb "${name}"; there are: ${verbNames().join(', ')}.`);
  const { default: verb } = (await import(`./verbs/${name}.ts`)) as { default: Verb };
  return verb;
}

function isHelp(arg: string): boolean {
  return arg === '--help' || arg === '-h';
}

/** After `--` everything is a name, `--help` too. */
function asksForHelp(args: readonly string[]): boolean {
  const end = args.indexOf('--');
  return (end === -1 ? args : args.slice(0, end)).some(isHelp);
}

function describe(verb: Verb): string {
  const details = (verb.details ?? []).map((line) => `  ${line}`);
  return [
    `stillwire ${verb.usage}`,
    '',
    `  ${verb.summary}.`,
    ...(details.length > 0 ? ['', ...details] : []),
    '',
    'Example:',
    `  ${verb.example}`,
  ].join('\n');
}

async function overview(): Promise<string> {
  const names = verbNames();
  const verbs = await Promise.all(names.map(loadVerb));
  const width = Math.max(...names.map((name) => name.length));
  return [
    'stillwire VERB …',
    '',
    ...names.map((name, index) => `  ${name.padEnd(width)}  ${verbs[index]?.summary}`),
    '',
    'Every verb takes --json and --help.',
    'Exit status: 0 it holds, 1 it does not, 2 the input cannot be used.',
  ].join('\n');
}

function explain(error: unknown): string {
  if (error instanceof Unusable) return error.message;
  const detail = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return `Stillwire itself broke here; your files were not changed. ${detail}`;
}
