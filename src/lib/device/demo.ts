/** A demonstration job: invented people at an invented address, marked as a demonstration for ever. */
import type { Instrument } from '#lib/core/job/events.ts';
import { readChecklistText } from './checklists.ts';
import type { Device, OpenOrder, Started } from './device.ts';

const PEOPLE = [
  { id: 'demo-ines', name: 'Ines Halloran (demonstration)' },
  { id: 'demo-bo', name: 'Bo Castell (demonstration)' },
] as const;

const INSTRUMENTS: readonly Instrument[] = [
  {
    id: 'DEMO-1',
    category: 'CAT III',
    volts: '600 V',
    due: '2099-12-31',
    percent: '0.5',
    counts: 3,
  },
];

const SITE = '12 Lantern Court, Ferrymouth (demonstration)';

/**
 * Opens one on a checklist file. The first of its people holds the device, the second may join; both
 * have whatever competence the checklist asks for.
 */
export async function startDemonstration(device: Device, checklist: string): Promise<Started> {
  const loaded = await readChecklistText(checklist);
  if (!loaded.ok) return { ok: false, refusals: [], trouble: loaded.trouble };
  const { competence } = loaded.value.checklist;
  const [lead] = PEOPLE;
  for (const person of PEOPLE) {
    const enrolled = await device.enrol({ ...person, competence }, lead.id);
    if (!enrolled.ok) return { ok: false, refusals: [], trouble: enrolled.trouble };
  }
  const order: OpenOrder = {
    command: 'open',
    site: SITE,
    people: [{ ...lead, competence }],
    instruments: INSTRUMENTS,
    demo: true,
  };
  return device.startJob({ checklist, order, by: lead.id });
}
