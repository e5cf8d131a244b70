import { DEAD, does, opens, type Replay, type Tap } from './replay.ts';

const swapped: readonly Tap[] = [
  opens('bram'),
  does('bram', 'count', { sources: 1 }),
  does('bram', 'find'),
  does('bram', 'off', { operated: 'breaker' }),
  does('bram', 'lock', { lock: 'B-1' }),
  does('bram', 'dead', DEAD),
  does('bram', 'cover-off'),
  does('bram', 'swap'),
];
const rest = [does('bram', 'clear', { people: ['bram'], tools: 2 }), does('bram', 'unlock')];

export const A18: Replay = {
  id: 'A18',
  report: 'FACE 03MI079',
  happened:
    'A meter reader leaned past a boiler; the cover of a 120 V switch was off. A resident found her dead.',
  checklist: 'boiler-switch',
  attempts: [
    {
      tries: 'switch the power on with the cover still off',
      given: swapped,
      attempt: does('bram', 'power'),
      refused: 'open-ends',
      opens: [does('bram', 'cover-on'), ...rest],
      gates: ['nothing-open', 'order', 'roll-call', 'locks-off'],
      breaks: ['P2', 'P3', 'P8'],
    },
    {
      tries: 'call the roll with the cover still off',
      given: swapped,
      attempt: does('bram', 'clear', { people: ['bram'], tools: 2 }),
      refused: 'open-ends',
      opens: [does('bram', 'cover-on')],
      gates: ['nothing-open', 'order'],
      breaks: ['P8'],
    },
  ],
};
