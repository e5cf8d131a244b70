/** The tests of the rules, with the text of one file replaced by that of a mutant. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

const root = fileURLToPath(new URL('../../', import.meta.url));
const { STILLWIRE_MUTANT: place } = process.env;
const mutant = (place ? JSON.parse(readFileSync(place, 'utf8')) : { file: '-' }) as {
  readonly file: string;
  readonly text: string;
};

export default defineConfig({
  root,
  /* By path: what Node resolves itself never passes the plugin. */
  resolve: { alias: { '#lib': `${root}src/lib` } },
  plugins: [
    {
      name: 'mutant',
      enforce: 'pre',
      transform: (_, id) => (id.split('?')[0] === root + mutant.file ? mutant.text : undefined),
    },
  ],
  test: {
    include: [
      'tests/unit/core/{job,safety}/**/*.test.ts',
      'tests/unit/core/prove/taken-out.test.ts',
    ],
    setupFiles: ['tests/support/fixed-seed.ts'],
    testTimeout: 60_000,
    maxWorkers: 2,
    bail: 1,
    /* What was made of a file is kept by its text, which a mutant does not change. */
    fsModuleCache: false,
  },
});
