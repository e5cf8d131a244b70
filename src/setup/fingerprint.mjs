// One name for the state of everything that goes into a build. `npm start` compares it with the
// name kept beside the last build; the offline cache of that build carries it too.
import { createHash } from 'node:crypto';
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { basePath } from './base-path.mjs';

const root = fileURLToPath(new URL('../..', import.meta.url));
const folders = ['src', 'static', 'checklists'];
const files = [
  'package.json',
  'package-lock.json',
  'svelte.config.js',
  'vite.config.ts',
  'src/lib/ui/words/project.inlang/settings.json',
];
// Written by a build, or no part of one.
const left = ['src/lib/ui/paraglide', 'src/lib/ui/words/project.inlang', 'src/cli'];

/** @returns {string} 64 hexadecimal digits, the same for the same sources on every machine */
export function fingerprint() {
  const hash = createHash('sha256');
  hash.update(`${basePath()}\0`);
  for (const path of [...folders.flatMap(below), ...files].sort()) {
    const bytes = readOrNull(path);
    if (bytes === null) continue;
    hash.update(`${path}\0${bytes.length}\0`);
    hash.update(bytes);
  }
  return hash.digest('hex');
}

/** @param {string} folder @returns {string[]} every file below it, with forward slashes */
function below(folder) {
  if (left.includes(folder)) return [];
  let entries;
  try {
    entries = readdirSync(join(root, folder), { withFileTypes: true });
  } catch {
    return [];
  }
  return entries.flatMap((entry) => {
    const path = `${folder}/${entry.name}`;
    return entry.isDirectory() ? below(path) : [path];
  });
}

/** @param {string} path */
function readOrNull(path) {
  try {
    return readFileSync(join(root, path));
  } catch {
    return null;
  }
}
