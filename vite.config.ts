import { sveltekit } from '@sveltejs/kit/vite';
import { defineConfig } from 'vite';
import { chunksPlugin } from './src/setup/chunks.mjs';
import { shelfPlugin } from './src/setup/shelf.mjs';
import { wordsPlugin } from './src/setup/words.mjs';

export default defineConfig({
  plugins: [wordsPlugin(), shelfPlugin(), chunksPlugin(), sveltekit()],
});
