/** The own checklists of this device as their list shows them. */
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { wordAt } from '#lib/core/checklist/edit-text.ts';
import { KEBAB } from '#lib/core/checklist/schema.ts';
import { readChecklistText } from '#lib/device/checklists.ts';
import {
  keepOwnChecklist,
  ownChecklist,
  ownChecklists,
  type OwnChecklist,
} from '#lib/device/own-checklists.ts';
import { signedRevision } from '#lib/device/signed-revisions.ts';
import * as m from '#lib/ui/paraglide/messages.js';
import { onShelf } from '../checklists.ts';
import { thisDevice } from '../this-device.ts';
import { wallNow } from './wall-now.ts';

export interface Listed {
  readonly id: string;
  readonly title: string;
  readonly revision: string;
  readonly usable: boolean;
  readonly signed: boolean;
}

export class OwnShelf {
  lists: readonly Listed[] | undefined = $state.raw();
  trouble: string | undefined = $state();

  async load(): Promise<void> {
    const device = await thisDevice();
    const kept = device.ok ? await ownChecklists(device.value.store.connection) : device;
    if (!kept.ok) this.trouble = kept.trouble.says;
    else this.lists = await Promise.all(kept.value.map(listed));
  }

  /** Keeps a file as one of the own checklists; its id, or undefined when `trouble` says why not. */
  async bringIn(text: string): Promise<string | undefined> {
    const loaded = loadChecklist(text, 'form');
    if (!loaded.ok) {
      const [first] = loaded.problems;
      this.trouble = m.checklists_import_wrong({
        line: first?.line ?? 1,
        says: first?.says ?? '',
      });
      return undefined;
    }
    return this.#keep(loaded.checklist.id, text);
  }

  async #keep(id: string, text: string): Promise<string | undefined> {
    if (await isTaken(id)) {
      this.trouble = m.checklists_taken({ id });
      return undefined;
    }
    const device = await thisDevice();
    const own: OwnChecklist = { id, text, before: text, changed: wallNow() };
    const kept = device.ok ? await keepOwnChecklist(device.value.store.connection, own) : device;
    if (kept.ok) return id;
    this.trouble = kept.trouble.says;
    return undefined;
  }

  /** Keeps a copy under another name; false when the name cannot be taken. */
  async keepCopy(id: string, text: string, from: string, before: string): Promise<boolean> {
    if (!KEBAB.test(id) || (await isTaken(id))) return false;
    const device = await thisDevice();
    if (!device.ok) return false;
    const own: OwnChecklist = { id, text, from, before, changed: wallNow() };
    return (await keepOwnChecklist(device.value.store.connection, own)).ok;
  }
}

async function isTaken(id: string): Promise<boolean> {
  if (onShelf(id) !== undefined) return true;
  const device = await thisDevice();
  if (!device.ok) return false;
  const had = await ownChecklist(device.value.store.connection, id);
  return had.ok && had.value !== null;
}

async function listed({ id, text }: OwnChecklist): Promise<Listed> {
  const read = await readChecklistText(text);
  const words = { title: wordAt(text, ['title']), revision: wordAt(text, ['revision']) };
  if (!read.ok) return { id, ...words, usable: false, signed: false };
  const device = await thisDevice();
  const signed = device.ok
    ? await signedRevision(device.value.store.connection, read.value.row.sha256)
    : device;
  return { id, ...words, usable: true, signed: signed.ok && signed.value !== null };
}
