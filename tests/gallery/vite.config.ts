import { svelte } from '@sveltejs/vite-plugin-svelte';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';
import { wordsPlugin } from '../../src/setup/words.mjs';

// The components alone, on fixtures: `npx vite -c tests/gallery/vite.config.ts`.
const root = fileURLToPath(new URL('../..', import.meta.url));

export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  cacheDir: `${root}node_modules/.vite-gallery`,
  plugins: [wordsPlugin(), svelte({ configFile: false, compilerOptions: { runes: true } })],
  server: { fs: { allow: [root] } },
});
