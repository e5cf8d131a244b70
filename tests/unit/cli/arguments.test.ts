import { describe, expect, test } from 'vitest';
import { readArguments } from '../../../src/cli/arguments.ts';

const options = {
  from: { type: 'string' },
  ambient: { type: 'string' },
  withhold: { type: 'string', multiple: true },
  quiet: { type: 'boolean' },
} as const;

describe('reading what was typed', () => {
  test('flags and names in any order', () => {
    const { values, positionals, json } = readArguments(
      ['a.yaml', '--from', '12kV', '--json', 'b.yaml', '--withhold', 'x', '--withhold=y'],
      options,
    );
    expect(values.from).toBe('12kV');
    expect(values.withhold).toEqual(['x', 'y']);
    expect(positionals).toEqual(['a.yaml', 'b.yaml']);
    expect(json).toBe(true);
  });

  test('a measure below zero is a value, not a flag', () => {
    const { values } = readArguments(['--ambient', '-5C', '--from', '-.5V'], options);
    expect(values).toMatchObject({ ambient: '-5C', from: '-.5V' });
  });

  test('after -- everything is a name', () => {
    expect(readArguments(['--', '--from'], options).positionals).toEqual(['--from']);
  });

  test.each([
    [['--form', '1'], /no flag --form here; there are: --from, --ambient.*--json, --help/],
    [['--from'], /flag --from needs a value/],
    [['--from', '--quiet'], /flag --from needs a value/],
    [['--quiet=yes'], /flag --quiet takes no value/],
    [['-x'], /no flag -x here/],
  ])('%j is explained', (args, sentence) => {
    expect(() => readArguments(args, options)).toThrow(sentence);
  });
});
