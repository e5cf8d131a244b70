// The checklists that the app is shipped with: what the list shows of each, made at build time, so that
// the first screen needs no reader of YAML; the files themselves are fetched when one is opened.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'yaml';

const folder = fileURLToPath(new URL('../../checklists', import.meta.url));
const name = 'virtual:shelf';

/**
 * `virtual:shelf` lists them; `virtual:shelf/terms` says who may do them, `virtual:shelf/texts` fetches their files,
 * `virtual:shelf/FILE` is the text of one.
 * @returns {import('vite').Plugin}
 */
export function shelfPlugin() {
  return {
    name: 'shelf',
    resolveId: (id) => (id === name || id.startsWith(`${name}/`) ? `\0${id}` : undefined),
    load(id) {
      if (!id.startsWith(`\0${name}`)) return undefined;
      const file = id.slice(name.length + 2);
      for (const each of files()) this.addWatchFile(join(folder, each));
      if (file === 'terms') return `export const terms = ${JSON.stringify(terms())};`;
      if (file === '') return `export const shelf = ${JSON.stringify(shelf())};`;
      if (file !== 'texts') return `export default ${JSON.stringify(textOf(file))};`;
      const stories = accidents().map(
        (each) =>
          `${JSON.stringify(each.replace('.jsonl', ''))}: () => import('${name}/accidents/${each}')`,
      );
      const texts = files().map(
        (each) => `${JSON.stringify(each)}: () => import('${name}/${each}')`,
      );
      return [
        `export const texts = {${texts.join(', ')}};`,
        `export const accidents = {${stories.join(', ')}};`,
      ].join('\n');
    },
  };
}

/** @param {string} file */
function textOf(file) {
  return readFileSync(join(folder, file), 'utf8');
}

function shelf() {
  return inEachLanguage(({ title, scope }) => ({ title, scope })).map(({ text, words }) => {
    const { id, revision, language, competence } = text;
    return { id, file: text.file, revision, language, competence, words };
  });
}

/** What is read before one of them is started; apart, because the list shows nothing of it. */
function terms() {
  const each = inEachLanguage(({ defer, licensed }) => ({ defer, licensed }));
  return Object.fromEntries(each.map(({ text, words }) => [text.id, words]));
}

/** Every checklist, and by language what `take` finds in it and in its translations. */
function inEachLanguage(take) {
  const found = files().map((file) => ({ ...parse(textOf(file)), file }));
  return found
    .filter(({ translates }) => translates === undefined)
    .map((text) => {
      const spoken = found.filter(({ translates }) => translates === text.id);
      const words = [text, ...spoken].map((each) => [each.language, take(each)]);
      return { text, words: Object.fromEntries(words) };
    });
}

function files() {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.yaml'))
    .sort();
}

/** Commands that somebody was hurt by, one file for a checklist, as `replay` reads them. */
function accidents() {
  return readdirSync(join(folder, 'accidents'))
    .filter((file) => file.endsWith('.jsonl'))
    .sort();
}
