import { ALL_SAY_CLEAR } from './rules.ts';
import { DEAD, caseOf, does, opens, reads, type Replay, type Tap } from './replay.ts';

const bridged: readonly Tap[] = [
  opens('edda'),
  does('edda', 'count', { sources: 1 }),
  does('edda', 'case', caseOf('0.7')),
  does('edda', 'off', { operated: 'disconnect' }),
  does('edda', 'lock', { lock: 'E-2' }),
  does('edda', 'dead', DEAD),
  does('edda', 'panel-off'),
  does('edda', 'bridge-on'),
];
const tested = does('edda', 'door-test', reads('OL', 'ohm'));
const shut = [
  does('edda', 'bridge-off'),
  does('edda', 'panel-on'),
  tested,
  does('edda', 'clear', { people: ['edda'], tools: 4 }),
  does('edda', 'unlock'),
];

export const A19: Replay = {
  id: 'A19',
  report: 'FACE 11CA007',
  happened:
    'The door interlock of an industrial washer had been disconnected. A supervisor started it ' +
    'while a worker leaned in; he was crushed.',
  checklist: 'industrial-washer',
  attempts: [
    {
      tries: 'start it with the door interlock bridged',
      given: bridged,
      attempt: does('edda', 'power'),
      refused: 'open-ends',
      opens: shut,
      gates: ['nothing-open', 'order', 'roll-call', 'locks-off'],
      breaks: ['P2', 'P3', 'P8'],
    },
    {
      tries: 'call the roll although the contact of the open door still closes',
      given: [...bridged, ...shut.slice(0, 2), does('edda', 'door-test', reads('0.3', 'ohm'))],
      attempt: does('edda', 'clear', { people: ['edda'], tools: 4 }),
      refused: 'interlock',
      opens: [
        { command: 'correct', step: 'door-test', why: 'bridge found and taken out', by: 'edda' },
        does('edda', 'dead', DEAD),
        tested,
      ],
      gates: ['needs'],
    },
    {
      tries: 'start it while not everybody has said clear',
      rules: [ALL_SAY_CLEAR],
      given: [
        ...bridged,
        ...shut.slice(0, 3),
        { command: 'join', person: { id: 'finn', competence: ['electrical'] }, by: 'finn' },
      ],
      attempt: does('edda', 'clear', { people: ['edda'], tools: 4 }),
      refused: 'roll-call',
      opens: { never: [does('edda', 'clear', { people: ['edda', 'finn'], tools: 4 })] },
    },
  ],
};
