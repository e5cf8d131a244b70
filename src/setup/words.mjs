// The message catalogues of src/lib/ui/words, compiled to one function a message. Needed before the
// build, the type check and any test of a component; done only when a catalogue has changed.
import { spawnSync } from 'node:child_process';
import { readdirSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const self = fileURLToPath(import.meta.url);
const words = fileURLToPath(new URL('../lib/ui/words', import.meta.url));
const project = `${words}/project.inlang`;
const outdir = fileURLToPath(new URL('../lib/ui/paraglide', import.meta.url));

/** Compiles in a process of its own: the compiler keeps timers that would hold this one for half a minute. */
export function ensureWords() {
  if (isFresh()) return;
  const { status } = spawnSync(process.execPath, [self], {
    stdio: ['ignore', 'ignore', 'inherit'],
  });
  if (status !== 0) throw new Error('The words of src/lib/ui/words could not be compiled.');
}

/** @returns {import('vite').Plugin} */
export function wordsPlugin() {
  return { name: 'words', buildStart: ensureWords };
}

function isFresh() {
  const catalogues = readdirSync(words).filter((name) => name.endsWith('.json'));
  const sources = [
    ...catalogues.map((name) => `${words}/${name}`),
    `${project}/settings.json`,
    self,
  ];
  const made = statSync(`${outdir}/messages.js`, { throwIfNoEntry: false })?.mtimeMs ?? 0;
  return sources.every((path) => statSync(path).mtimeMs < made);
}

async function compileAll() {
  const { compile } = await import('@inlang/paraglide-js');
  await compile({
    project,
    outdir,
    // Which language is read is decided by the face (ui/face.svelte.ts), not by the library.
    strategy: ['globalVariable', 'baseLocale'],
    emitReadme: false,
    disableAsyncLocalStorage: true,
  });
  process.exit();
}

if (process.argv[1] === self) await compileAll();
