import { ESLint } from 'eslint';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { root } from './tree.ts';

const lint = new ESLint({ cwd: root, overrideConfigFile: 'src/setup/eslint.config.mjs' });

/** What the lint says of a text, as if it stood in that file. */
async function complaints(path: string, text: string): Promise<string[]> {
  const [result] = await lint.lintText(text, { filePath: join(root, path) });
  return (result?.messages ?? []).map(({ ruleId, message }) => `${ruleId}: ${message}`);
}

describe('the lint', () => {
  test('holds the import directions, and says why', async () => {
    expect(await complaints('src/lib/core/job/x.mjs', `import '../../device/clock.ts';\n`)).toEqual(
      [
        'stillwire/direction: src/lib/core/job/x.mjs: core/job may not import device/clock; ' +
          'the implementation must not lean on the properties that judge it, nor on how it is kept',
      ],
    );
    expect(await complaints('src/lib/core/job/x.mjs', `import '../checklist/model.ts';\n`)).toEqual(
      [],
    );
  });

  test('finds a name that nobody uses, and a loose comparison', async () => {
    const found = await complaints('src/setup/x.mjs', 'const a = 1;\nexport const b = 1 == 2;\n');
    expect(found.join()).toContain('no-unused-vars');
    expect(found.join()).toContain('eqeqeq');
  });
});
