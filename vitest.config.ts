// The tests in Node, over the app's own plugins; the app is built without this file.
import { defineConfig } from 'vitest/config';
import { LongOnesFirst } from './tests/support/long-ones-first.ts';
import app from './vite.config.ts';

// The questions asked in Node; each is a folder of tests/.
const questions = [
  'unit',
  'laws',
  'contract',
  'faults',
  'tamper',
  'vectors',
  'replays',
  'abuse',
  'sync',
  'tidy',
];

// What is asked of the core, which keeps nothing between calls (tests/tidy/purity.test.ts), leaves nothing
// behind for the next file: all of it shares two processes, and what is loaded and compiled in them.
const pure = ['tests/{unit/core,unit/paper,laws,replays,vectors,tamper,abuse}/**/*.test.ts'];
/** These measure the memory of their process. */
const alone = ['tests/unit/core/bag/flat-memory.test.ts', 'tests/abuse/hostile-archives.test.ts'];

const shared = {
  environment: 'node',
  setupFiles: ['tests/support/fixed-seed.ts'],
  // A busy machine is no failure; a test that hangs still ends.
  testTimeout: 60_000,
  hookTimeout: 120_000,
};

export default defineConfig({
  ...app,
  test: {
    passWithNoTests: false,
    // Every core has a file; left to itself, vitest keeps one of them free.
    maxWorkers: '100%',
    sequence: { sequencer: LongOnesFirst },
    projects: [
      {
        extends: true,
        test: { ...shared, name: 'core', include: pure, exclude: alone, isolate: false },
      },
      {
        extends: true,
        test: {
          ...shared,
          name: 'node',
          globalSetup: 'tests/support/postgres-on-demand.ts',
          include: questions.map((question) => `tests/${question}/**/*.test.ts`),
          exclude: [...pure, ...alone],
        },
      },
      { extends: true, test: { ...shared, name: 'memory', include: alone } },
    ],
  },
});
