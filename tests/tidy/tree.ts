// The files of the repository as the tidy tests see them: what git holds, and what is new and not
// ignored.
import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('../..', import.meta.url));

export interface SourceFile {
  /** From the root, with forward slashes. */
  path: string;
  text: string;
}

const listed = execFileSync('git', ['ls-files', '-z', '-co', '--exclude-standard'], {
  cwd: root,
  encoding: 'utf8',
  maxBuffer: 64 * 1024 * 1024,
});
// A file that was just removed is still listed until that is committed.
const paths = [...new Set(listed.split('\0'))]
  .filter((path) => path !== '' && existsSync(join(root, path)))
  .sort();

/** @param folder from the root; the empty string for everything */
export function pathsBelow(folder: string): string[] {
  return paths.filter((path) => folder === '' || path.startsWith(`${folder}/`));
}

/** @param endings of the names wanted: `.ts` */
export function filesBelow(folder: string, endings: readonly string[]): SourceFile[] {
  return pathsBelow(folder)
    .filter((path) => endings.some((ending) => path.endsWith(ending)))
    .map((path) => ({ path, text: readFileSync(join(root, path), 'utf8') }));
}

/** The endings of files that a person writes line by line. */
export const written = ['.ts', '.mjs', '.js', '.svelte', '.css', '.html'];
