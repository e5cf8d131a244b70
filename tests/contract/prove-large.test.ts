/**
 * What the command says of the five largest shipped lists, whole, with two people and two connectors: each is walked
 * to its end, every property is shown, there is always a way back, and no gate of its own stops nothing. The smaller
 * ones are walked in `tests/unit/core/prove/symbolic/counts.test.ts`. Their numbers of states are
 * pinned: a change of the engine or of a list is looked at before they are changed.
 */
import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';
import { LARGE } from '../support/large-lists.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const run = promisify(execFile);

/** What the command counts besides the open ones: the unopened job and the three ends. */
const BESIDES = 4;

test.each(Object.entries(LARGE))(
  '%s is proved whole: %d states while it is open',
  async (name, open) => {
    const words = ['src/cli/stillwire.mjs', 'prove', `checklists/${name}.yaml`, '--json'];
    const { stdout } = await run(process.execPath, words, { cwd: root });
    const { files } = JSON.parse(stdout) as { files: readonly unknown[] };
    expect(files).toHaveLength(1);
    expect(files[0]).toMatchObject({
      people: 2,
      connectors: 2,
      states: open + BESIDES,
      complete: true,
      unshown: [],
      deadEnds: [],
      idleGates: [],
    });
  },
  600_000,
);
