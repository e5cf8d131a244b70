import { AT_THE_DOOR } from './rules.ts';
import { DEAD, caseOf, does, opens, type Replay } from './replay.ts';

const cooling = ['air-conditioning'];

export const A07: Replay = {
  id: 'A07',
  report: 'FACE 92NJ019',
  happened:
    'A partner of a small firm, new to service work, was electrocuted servicing an apartment air ' +
    'conditioner in a closet while it was energized.',
  checklist: 'closet-air-conditioner',
  attempts: [
    {
      tries: 'take the job on without being authorized for it',
      rules: [AT_THE_DOOR],
      given: [],
      attempt: opens('lars', ['painting']),
      refused: 'competence',
      opens: { never: [opens('maud', cooling)] },
    },
    {
      tries: 'open the unit while it is energized',
      given: [
        opens('maud', cooling),
        does('maud', 'count', { sources: 1 }),
        does('maud', 'case', caseOf('0.2')),
      ],
      attempt: does('maud', 'panel-off'),
      refused: 'not-dead',
      opens: [
        does('maud', 'find'),
        does('maud', 'off', { operated: 'breaker' }),
        does('maud', 'lock', { lock: 'M-4' }),
        does('maud', 'dead', DEAD),
      ],
      gates: ['dead', 'order'],
      breaks: ['P1', 'P8'],
    },
  ],
};
