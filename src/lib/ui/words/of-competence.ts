/** What a person is authorized for, in the reader's language; what a list of one's own named stands as it was written. */
import * as m from '../paraglide/messages.js';

const words: Readonly<Record<string, () => string>> = {
  electrical: m.competence_electrical,
  microwave: m.competence_microwave,
  plumbing: m.competence_plumbing,
  gas: m.competence_gas,
  'air-conditioning': m.competence_air_conditioning,
  'garage-door': m.competence_garage_door,
  'ev-charging': m.competence_ev_charging,
  pv: m.competence_pv,
  'abrasive-wheels': m.competence_abrasive_wheels,
  'kitchen-equipment': m.competence_kitchen_equipment,
};

/** `names` as a list names them: `electrical`, `gas`. */
export function competenceSays(names: readonly string[]): string {
  return names.map((name) => words[name]?.() ?? name).join(', ');
}
