import { DEAD_VOLTS, ISOLATORS_ONLY } from './rules.ts';
import { DEAD, caseOf, does, opens, type Replay } from './replay.ts';

const arrived = [
  opens('sune'),
  does('sune', 'count', { sources: 1 }),
  does('sune', 'case', caseOf('0.5')),
  does('sune', 'find'),
];
const cut = [does('sune', 'off', { operated: 'breaker' }), does('sune', 'lock', { lock: 'S-9' })];
const panel = does('sune', 'panel-off');
const live = { ...DEAD, pairs: { ...DEAD.pairs, 'L-N': { value: '118', unit: 'V' } } };

export const A10: Replay = {
  id: 'A10',
  report: 'Training text on a death at an oil furnace',
  happened:
    'A technician in a crawl space had put the toggle switch off, but it was wired so that the ' +
    'power stayed on. He was found three and a half hours after the customer had left.',
  checklist: 'oil-furnace',
  attempts: [
    {
      tries: 'take the toggle switch for the isolating device',
      rules: [ISOLATORS_ONLY],
      given: arrived,
      attempt: does('sune', 'off', { operated: 'toggle switch' }),
      refused: 'control-not-isolator',
      opens: { never: cut },
    },
    {
      tries: 'open the burner panel without a reading',
      given: [...arrived, ...cut],
      attempt: panel,
      refused: 'not-dead',
      opens: [does('sune', 'dead', DEAD)],
      gates: ['dead', 'order'],
      breaks: ['P1', 'P8'],
    },
    {
      tries: 'go on although the wires of the burner read 118 V',
      rules: [DEAD_VOLTS],
      breaks: ['P6'],
      given: [...arrived, ...cut],
      attempt: does('sune', 'dead', live),
      refused: 'not-dead',
      opens: {
        never: [does('sune', 'case', caseOf('0.5')), ...cut, does('sune', 'dead', DEAD), panel],
      },
    },
  ],
};
