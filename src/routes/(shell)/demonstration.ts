/** The demonstration job in one tap, on the first list of the shelf or on the one that is named. */
import { startDemonstration } from '#lib/device/demo.ts';
import type { Device, Started } from '#lib/device/device.ts';
import { checklistText } from './checklist-texts.ts';
import { shelf } from './checklists.ts';

const FIRST = 'range-door-lock';

export async function demonstrate(device: Device, id = FIRST): Promise<Started> {
  const text = await checklistText(shelf.some((entry) => entry.id === id) ? id : FIRST);
  if (text === undefined) return { ok: false, refusals: [] };
  return startDemonstration(device, text);
}
