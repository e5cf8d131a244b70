import { describe, expect, it } from 'vitest';
import { askedOf, BENCHES, HELP } from '../../bench/asked.ts';

describe('what the benches are asked for', () => {
  it('is all of them, in words, unless something else is asked for', () => {
    expect(askedOf([])).toEqual({
      kind: 'run',
      asked: {
        chosen: Object.keys(BENCHES),
        print: 'words',
        rounds: 9,
        jobs: 10_000,
        before: null,
      },
    });
  });

  it('is what the options say', () => {
    const asked = { chosen: ['seal', 'fold'], rounds: 3, jobs: 100_000, print: 'table' };
    expect(
      askedOf(['seal', 'fold', 'seal', '--rounds', '3', '--jobs=100000', '--table']),
    ).toMatchObject({ asked });
    expect(askedOf(['fold', '--before', 'abc', '--turns', '2'])).toMatchObject({
      asked: { before: { ref: 'abc', turns: 2 } },
    });
  });

  it('may be the help, which names every bench and every option', () => {
    expect(askedOf(['seal', '-h'])).toEqual({ kind: 'help' });
    for (const name of [...Object.keys(BENCHES), '--table', '--json', '--before'])
      expect(HELP).toContain(`  ${name} `);
  });

  it.each([
    [['swim'], 'There is no bench swim; there are: decide, explore, '],
    [['--fast'], "Unknown option '--fast'."],
    [['--rounds'], "Option '--rounds <value>' argument missing."],
    [['--rounds', '0'], '--rounds and --turns want a whole number, 1 or more.'],
    [['--turns', 'two', '--before', 'abc'], '--rounds and --turns want a whole number, 1 or more.'],
    [['--turns', '2'], '--turns belongs to --before.'],
    [['--jobs', '10'], '--jobs wants a whole number, 1000 or more.'],
    [['--json', '--table'], 'Ask for --json or for --table, not both.'],
    [['--json', '--before', 'abc'], '--before prints lines, neither --json nor --table.'],
  ])('cannot be %j, and says so', (args, says) => {
    const answer = askedOf(args);
    expect(answer).toMatchObject({ kind: 'unusable' });
    expect('says' in answer && answer.says.startsWith(says)).toBe(true);
    expect('says' in answer && answer.says).toContain('npm run bench -- --help');
  });
});
