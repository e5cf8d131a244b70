import { save } from '#lib/device/save.ts';

/** A text as a file in the person's downloads. */
export function saveText(name: string, text: string, type: string): void {
  save({ name, blob: new Blob([text], { type }) });
}
