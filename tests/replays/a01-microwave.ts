import { NO_WINDOW } from './rules.ts';
import { DEAD, caseOf, does, opens, passes, reads, type Replay } from './replay.ts';

const arrived = [
  opens('wren'),
  does('wren', 'count', { sources: 2 }),
  does('wren', 'case', caseOf('0.3')),
];
const unplugged = [does('wren', 'unplug', { operated: 'plug' }), does('wren', 'dead', DEAD)];
const open = does('wren', 'cover-off');

export const A01: Replay = {
  id: 'A01',
  report: 'FACE 94MD038, NIOSHTIC 20026141',
  happened:
    'A repairer who had asked for a few minutes in another shop took the cover off a microwave ' +
    'oven that was plugged in and on, put a hand into the circuit, and died.',
  checklist: 'microwave-capacitor',
  attempts: [
    {
      tries: 'measure the high-voltage side with the plug in',
      rules: [NO_WINDOW],
      breaks: ['P3', 'P8'],
      given: arrived,
      attempt: {
        command: 'window',
        source: 'mains',
        reason: 'see the voltage at the capacitor',
        readBack: 'this oven',
        by: 'wren',
      },
      refused: 'barred',
      opens: {
        never: [...unplugged, open, passes(2), does('wren', 'drain', reads('0.4', 'V'))],
      },
    },
    {
      tries: 'take the cover off with the plug in',
      given: arrived,
      attempt: open,
      refused: 'not-dead',
      opens: unplugged,
      gates: ['dead', 'order'],
      breaks: ['P1', 'P8'],
    },
    {
      tries: 'reach for the capacitor before it is drained',
      given: [...arrived, ...unplugged, open],
      attempt: does('wren', 'capacitor', reads('0.98', 'uF')),
      refused: 'stored',
      opens: [passes(2), does('wren', 'drain', reads('0.4', 'V'))],
      gates: ['dead', 'order'],
      breaks: ['P1', 'P8'],
    },
    {
      tries: 'drain it right away, by the clock alone',
      given: [...arrived, ...unplugged, open],
      attempt: does('wren', 'drain', reads('0.4', 'V')),
      refused: 'wait',
      opens: [passes(2)],
      gates: ['wait'],
      breaks: ['P7'],
    },
  ],
};
