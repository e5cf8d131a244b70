/** The checklists of the tests and the shipped ones, as text, and a way to break them in one place. */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import type { Checklist, Problem } from '#lib/core/checklist/model.ts';

const folders = {
  shipped: new URL('../../checklists/', import.meta.url),
  test: new URL('./checklists/', import.meta.url),
};

export function checklistText(name: string, folder: keyof typeof folders = 'test'): string {
  return readFileSync(new URL(name, folders[folder]), 'utf8');
}

/** File names of whole checklists, without translations. */
export function checklistNames(folder: keyof typeof folders): string[] {
  return readdirSync(fileURLToPath(folders[folder])).filter((name) => /^[^.]+\.yaml$/u.test(name));
}

export const kilnText = checklistText('glass-kiln-element.yaml');
export const lampText = checklistText('bench-lamp.yaml');

/** The text with one passage changed; fails when the passage is not there exactly once. */
export function changed(text: string, from: string, to: string): string {
  const parts = text.split(from);
  if (parts.length !== 2) {
    throw new Error(`“${from}” stands ${parts.length - 1} times in the text, not once.`);
  }
  return parts.join(to);
}

/** The block of one step, from its id to the next step. */
export function stepBlock(text: string, id: string): string {
  const block = new RegExp(`^ {2}- id: ${id}\\n(?: {4}.*\\n)*`, 'mu').exec(text)?.[0];
  if (block === undefined) throw new Error(`There is no step ${id} in the text.`);
  return block;
}

export const withoutStep = (text: string, id: string) => changed(text, stepBlock(text, id), '');

/** The step taken out and put before another one. */
export function movedBefore(text: string, id: string, other: string): string {
  const block = stepBlock(text, id);
  const rest = changed(text, block, '');
  const target = stepBlock(rest, other);
  return changed(rest, target, block + target);
}

export function problemsOf(text: string): readonly Problem[] {
  const loaded = loadChecklist(text);
  return loaded.ok ? [] : loaded.problems;
}

export function checklistOf(text: string): Checklist {
  const loaded = loadChecklist(text);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems, null, 1));
  return loaded.checklist;
}
