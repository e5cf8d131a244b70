import { parseArgs, type ParseArgsOptionsConfig } from 'node:util';
import { Unusable } from './verb.ts';

/** A measure that is below zero looks like a flag: `--ambient -5C`. */
const negative = /^-[.\d]/;

/**
 * Reads what was typed after a verb. `--json` is always understood.
 * @param args as they came
 * @param options the verb's own flags, as `node:util` has them
 * @returns the flags by name, whether `--json` was among them, and everything else in order
 * @throws Unusable with one sentence that names the flag
 */
export function readArguments<const Options extends ParseArgsOptionsConfig>(
  args: readonly string[],
  options: Options,
) {
  try {
    const { values, positionals } = parseArgs({
      args: joinNegatives(args, options),
      options: { ...options, json: { type: 'boolean' } },
      allowPositionals: true,
      strict: true,
    });
    const json = (values as { json?: boolean }).json === true;
    return { values, positionals, json };
  } catch (error) {
    throw new Unusable(explain(error, options));
  }
}

function joinNegatives(args: readonly string[], options: ParseArgsOptionsConfig): string[] {
  const joined: string[] = [];
  for (const arg of args) {
    const before = joined.at(-1);
    const takesValue =
      before?.startsWith('--') === true && options[before.slice(2)]?.type === 'string';
    if (takesValue && negative.test(arg)) joined[joined.length - 1] = `${before}=${arg}`;
    else joined.push(arg);
  }
  return joined;
}

function explain(error: unknown, options: ParseArgsOptionsConfig): string {
  const { code, message } = error as { code?: string; message: string };
  const flag = /'(-[^' =]*)/.exec(message)?.[1] ?? 'a flag';
  if (code === 'ERR_PARSE_ARGS_UNKNOWN_OPTION') {
    const known = [...Object.keys(options), 'json', 'help'].map((name) => `--${name}`);
    return `There is no flag ${flag} here; there are: ${known.join(', ')}.`;
  }
  if (code === 'ERR_PARSE_ARGS_INVALID_OPTION_VALUE')
    return message.includes('does not take an argument')
      ? `The flag ${flag} takes no value.`
      : `The flag ${flag} needs a value after it.`;
  return message;
}
