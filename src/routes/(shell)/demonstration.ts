/** The demonstration job: fictional people at a fictional address, marked so for ever. */
import type { Instrument } from '#lib/core/job/events.ts';
import type { Device, Started } from '#lib/device/device.ts';
import { checklistText, shelf } from './checklists.ts';

const WHO = { id: 'mara-quill', name: 'Mara Quill' };
const SITE = 'Demonstration kitchen, 4 Plover Row, Amble Quay';

export const DEMO_METER: Instrument = {
  id: 'meter-7',
  category: 'CAT III',
  volts: '600',
  due: '2099-12-31',
  percent: '1',
  counts: 3,
};

/** @param id which checklist; the first of the shelf when absent */
export async function startDemonstration(device: Device, id?: string): Promise<Started> {
  const entry = shelf.find((each) => each.id === (id ?? 'range-door-lock')) ?? shelf[0];
  const text = entry === undefined ? undefined : await checklistText(entry.id);
  if (entry === undefined || text === undefined) return { ok: false, refusals: [] };
  const person = { ...WHO, competence: entry.competence };
  const enrolled = await device.enrol(person, WHO.id);
  if (!enrolled.ok) return { ok: false, refusals: [], trouble: enrolled.trouble };
  return device.startJob({
    checklist: text,
    by: WHO.id,
    order: {
      command: 'open',
      site: SITE,
      people: [person],
      instruments: [DEMO_METER],
      demo: true,
    },
  });
}
