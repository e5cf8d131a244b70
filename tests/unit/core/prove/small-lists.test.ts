/**
 * Small lists on which a rule of the engine once stood in its own way, or said less than the properties: each is the
 * bench lamp with a step or two more, walked over all its states with one person. Every property is shown and
 * the job can always be handed back, without a detour where nothing lapses.
 */
import { expect, test } from 'vitest';
import { boundsOf } from '#lib/core/prove/bounds.ts';
import { plainWays } from '#lib/core/prove/plain-ways.ts';
import { walk } from '#lib/core/prove/symbolic/index.ts';
import { changed, checklistOf, lampText, stepBlock } from '../../../support/checklist-texts.ts';

/** The lamp's list with more steps below one of its own, and more said at another. */
function lampWith(below: string, steps: string, at?: readonly [string, string]) {
  const block = stepBlock(lampText, below);
  const more = changed(lampText, block, `${block}${steps}`);
  if (at === undefined) return checklistOf(more);
  const own = stepBlock(more, at[0]);
  return checklistOf(changed(more, own, `${own}${at[1]}`));
}

const gloves = (id: string, phase: string, more = '') =>
  `  - { id: ${id}, phase: ${phase}, do: wear, on: [gloves], say: Put the gloves on.${more} }\n`;
const wearing = '    wearing: [gloves]\n';

const LISTS = {
  'the same gloves are put on twice': lampWith(
    'count',
    gloves('gloves', 'arrive') + gloves('gloves-again', 'arrive'),
    ['wires', wearing],
  ),
  'everybody is told something after the power is back': lampWith(
    'plug-in',
    '  - { id: told, phase: restore, do: tell, say: Tell everybody that the lamp is live. }\n',
  ),
  'a step for two hands is begun, left out, and begun again': lampWith(
    'rewire',
    '  - { id: look, phase: refit, do: confirm, states: The wires look right, twice: true, optional: true, say: Look at the wires. }\n',
  ),
  'a reading shows live what the gloves hang on': lampWith(
    'count',
    gloves('gloves', 'arrive', ', keeps: { unless: [reEnergized] }'),
    ['done', wearing],
  ),
};

test.each(Object.entries(LISTS))('%s', (_, checklist) => {
  const walked = walk(checklist, boundsOf(checklist, 1, 1));
  expect(walked).toMatchObject({ complete: true, unshown: [], deadEnds: [] });
  const plain = plainWays(checklist, { states: 10_000 });
  expect(plain).toMatchObject({ complete: true, handedBack: true, wrong: null });
});
