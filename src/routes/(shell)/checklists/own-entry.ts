/** An own checklist as the shelf has its own: what the start of a job shows of it. */
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { ownChecklist } from '#lib/device/own-checklists.ts';
import type { ShelfEntry } from '../checklists.ts';
import { thisDevice } from '../this-device.ts';

export interface OwnEntry {
  readonly entry: ShelfEntry;
  readonly text: string;
}

/** Undefined when there is none of that name here, or it cannot be used as it stands. */
export async function ownEntry(id: string): Promise<OwnEntry | undefined> {
  const device = await thisDevice();
  const kept = device.ok ? await ownChecklist(device.value.store.connection, id) : device;
  if (!kept.ok || kept.value === null) return undefined;
  const { text } = kept.value;
  const loaded = loadChecklist(text);
  if (!loaded.ok) return undefined;
  const { title, scope, defer, licensed, revision, language, competence } = loaded.checklist;
  const words = { [language]: { title, scope } };
  const terms = { [language]: { defer, licensed } };
  return { text, entry: { id, file: `${id}.yaml`, revision, language, competence, words, terms } };
}
