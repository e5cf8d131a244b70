// The checklists that the app is shipped with: what the list shows of each, made at build time, so that
// the first screen needs no reader of YAML; the files themselves are fetched when one is opened.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'yaml';

const folder = fileURLToPath(new URL('../../checklists', import.meta.url));
const name = 'virtual:shelf';
const resolved = `\0${name}`;

/** @returns {import('vite').Plugin} */
export function shelfPlugin() {
  return {
    name: 'shelf',
    resolveId: (id) => (id === name ? resolved : undefined),
    load(id) {
      if (id !== resolved) return undefined;
      for (const file of files()) this.addWatchFile(join(folder, file));
      return `export const shelf = ${JSON.stringify(shelf())};`;
    },
  };
}

function shelf() {
  const found = files().map((file) => ({
    file,
    text: parse(readFileSync(join(folder, file), 'utf8')),
  }));
  return found
    .filter(({ text }) => text.translates === undefined)
    .map(({ file, text }) => {
      const { id, revision, language, competence } = text;
      const spoken = found
        .filter((one) => one.text.translates === id)
        .map(({ text: other }) => other);
      const words = [text, ...spoken].map((each) => [each.language, wordsOf(each)]);
      return { id, file, revision, language, competence, words: Object.fromEntries(words) };
    });
}

function wordsOf({ title, scope, defer, licensed }) {
  return { title, scope, defer, licensed };
}

function files() {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.yaml'))
    .sort();
}
