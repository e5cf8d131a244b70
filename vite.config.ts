import { sveltekit } from '@sveltejs/kit/vite';
import { defineConfig } from 'vitest/config';
import { chunksPlugin } from './src/setup/chunks.mjs';
import { shelfPlugin } from './src/setup/shelf.mjs';
import { wordsPlugin } from './src/setup/words.mjs';

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

export default defineConfig({
  plugins: [wordsPlugin(), shelfPlugin(), chunksPlugin(), sveltekit()],
  test: {
    passWithNoTests: false,
    projects: [
      {
        extends: true,
        test: {
          name: 'node',
          environment: 'node',
          setupFiles: ['tests/support/fixed-seed.ts'],
          // A busy machine is no failure; a test that hangs still ends.
          testTimeout: 60_000,
          hookTimeout: 120_000,
          globalSetup: 'tests/support/postgres-on-demand.ts',
          include: questions.map((question) => `tests/${question}/**/*.test.ts`),
        },
      },
    ],
  },
});
