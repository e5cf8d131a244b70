import { execFile } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { describe, expect, test } from 'vitest';
import { run } from '../../../src/cli/main.ts';
import { heard } from '../../support/heard.ts';

const root = fileURLToPath(new URL('../../..', import.meta.url));
const verbs = readdirSync(join(root, 'src/cli/verbs')).map((file) => file.replace(/\.ts$/, ''));

describe('the command line', () => {
  test('without a verb it lists every verb that has a file', async () => {
    const { io, printed } = heard();
    expect(await run([], io)).toBe(0);
    for (const verb of verbs)
      expect(printed).toContainEqual(expect.stringMatching(new RegExp(`^  ${verb} +\\S`)));
  });

  test.each(verbs)('%s --help shows its usage and an example, and does nothing', async (verb) => {
    const { io, printed, complaints } = heard();
    expect(await run([verb, '--help'], io)).toBe(0);
    expect(printed[0]).toMatch(new RegExp(`^stillwire ${verb}\\b`));
    expect(printed.join('\n')).toMatch(new RegExp(`Example:\n  stillwire ${verb}\\b`));
    expect(complaints).toEqual([]);
  });

  test.each(verbs)('%s names a flag that it does not know, with exit status 2', async (verb) => {
    const { io, complaints } = heard();
    expect(await run([verb, '--no-such-flag'], io)).toBe(2);
    expect(complaints).toHaveLength(1);
    expect(complaints[0]).toContain('--no-such-flag');
  });

  test('an unknown verb is named, with those that there are', async () => {
    const { io, complaints, documents } = heard();
    expect(await run(['frobnicate', '--json'], io)).toBe(2);
    expect(complaints).toEqual([expect.stringContaining('"frobnicate"; there are: ')]);
    expect(documents).toEqual([{ ok: false, error: complaints[0] }]);
  });

  test('a verb cannot be reached by a path', async () => {
    const { io, complaints } = heard();
    expect(await run(['../main'], io)).toBe(2);
    expect(complaints[0]).toContain('There is no verb');
  });

  test('--json puts one document on standard output and nothing else', async () => {
    const { io, documents, printed } = heard();
    expect(await run(['about', '--json'], io)).toBe(0);
    expect(printed).toEqual([]);
    expect(documents).toEqual([expect.objectContaining({ ok: true, version: expect.any(String) })]);
  });

  test('the launcher runs by itself, and passes the exit status on', async () => {
    const launcher = join(root, 'src/cli/stillwire.mjs');
    const start = promisify(execFile);
    const { stdout } = await start(process.execPath, [launcher, 'about', '--json']);
    expect(JSON.parse(stdout)).toMatchObject({ ok: true });
    await expect(start(process.execPath, [launcher, 'nothing'])).rejects.toMatchObject({
      code: 2,
      stdout: '',
      stderr: expect.stringMatching(/^There is no verb "nothing".*\n$/),
    });
  });
});
