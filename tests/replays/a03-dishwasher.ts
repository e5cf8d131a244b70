import { DEAD, caseOf, does, opens, reads, type Replay, type Tap } from './replay.ts';

const opened: readonly Tap[] = [
  opens('tove'),
  does('tove', 'count', { sources: 1 }),
  does('tove', 'case', caseOf('0.8')),
  does('tove', 'unplug', { operated: 'plug' }),
  does('tove', 'dead', DEAD),
  does('tove', 'plate-off'),
];
const winding = does('tove', 'winding', reads('140', 'ohm'));

export const A03: Replay = {
  id: 'A03',
  report: 'Trade press report of a hearing at Elgin Sheriff Court on a death in 2009',
  happened:
    'An experienced electrician ran a café dishwasher through a wash cycle to look at its ' +
    'wiring, and was electrocuted.',
  checklist: 'cafe-dishwasher',
  attempts: [
    {
      tries: 'run it with the panels off and water inside',
      given: [...opened, winding, does('tove', 'ready', { people: ['tove'], tools: 0 })],
      attempt: {
        command: 'window',
        source: 'mains',
        step: 'watch',
        reason: 'see where it stops',
        readBack: 'this dishwasher alone',
        by: 'tove',
      },
      refused: 'barred',
      opens: { never: [] },
      gates: ['wet', 'window'],
    },
  ],
};
