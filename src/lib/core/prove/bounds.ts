/** How far an exploration goes: who may take part, and how many connectors come off. */
import type { NewPerson } from '../job/commands.ts';
import type { Bounds } from '../job/enabled-commands.ts';
import type { Checklist } from '../checklist/model.ts';

export const USUAL_PEOPLE = 2;
export const USUAL_CONNECTORS = 2;

const NAMES = ['ana', 'ben', 'cleo', 'dov', 'eva', 'finn', 'gus'];

/** Everybody holds the competence that the checklist asks for: who does not is refused at the door. */
export function boundsOf(checklist: Checklist, people: number, connectors: number): Bounds {
  const competence = checklist.competence;
  const all = NAMES.slice(0, Math.max(1, Math.min(people, NAMES.length)));
  return { people: all.map((id): NewPerson => ({ id, competence })), connectors };
}
