import { CASE_VOLTS } from './rules.ts';
import { DEAD, caseOf, does, opens, type Replay } from './replay.ts';

const arrived = [opens('ines'), does('ines', 'count', { sources: 1 })];
const unplug = does('ines', 'unplug', { operated: 'plug' });

export const A04: Replay = {
  id: 'A04',
  report: 'HSE prosecution, Southwark 2023, death in 2017',
  happened:
    'A kitchen engineer died touching a waste unit: water in its wiring, an ineffective ground, ' +
    'no RCD; it had been live for years and nobody knew.',
  checklist: 'kitchen-macerator',
  attempts: [
    {
      tries: 'put a hand on the unit before its case was read',
      given: arrived,
      attempt: unplug,
      refused: 'case-unknown',
      opens: [does('ines', 'case', caseOf('0.6'))],
      gates: ['case', 'order'],
      breaks: ['P8', 'P11'],
    },
    {
      tries: 'go on with a case that reads 118 V to ground',
      rules: [CASE_VOLTS],
      given: arrived,
      attempt: does('ines', 'case', caseOf('118')),
      refused: 'case-live',
      opens: {
        never: [{ command: 'refuse', why: 'the case is live: electrician', left: [], by: 'ines' }],
      },
    },
    {
      tries: 'reach into the chamber on the strength of the plug alone',
      given: [...arrived, does('ines', 'case', caseOf('0.6')), unplug],
      attempt: does('ines', 'chamber-off'),
      refused: 'not-dead',
      opens: [does('ines', 'dead', DEAD)],
      gates: ['dead', 'order'],
      breaks: ['P1', 'P8'],
    },
  ],
};
