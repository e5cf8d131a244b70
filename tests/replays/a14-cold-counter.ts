import { INSULATED, REAL_LOCK } from './rules.ts';
import { DEAD, connector, does, insulated, opens, type Replay, type Tap } from './replay.ts';

const cut: readonly Tap[] = [
  opens('olga'),
  does('olga', 'count', { sources: 1 }),
  does('olga', 'find'),
  does('olga', 'off', { operated: 'breaker' }),
];
const lock = does('olga', 'lock', { lock: 'O-3' });
const loose: readonly Tap[] = [
  ...cut,
  lock,
  does('olga', 'dead', DEAD),
  does('olga', 'cover-off'),
  does('olga', 'tails', connector('tail', 'L')),
  does('olga', 'tails', connector('neutral', 'N')),
];
const park = (tailInsulated: boolean): Tap => ({
  command: 'park',
  as: 'shut',
  told: 'the shopkeeper',
  owner: 'the office',
  until: '2026-12-09',
  left: [
    { ...insulated('tail', 'in a terminal box'), insulated: tailInsulated },
    insulated('neutral', 'in a terminal box'),
    insulated('cover', 'screwed over the box'),
  ],
  lock: 'F-20',
  by: 'olga',
});

export const A14: Replay = {
  id: 'A14',
  report: 'HSE case, refrigeration firm, 2011',
  happened:
    'A fitter disconnected a counter, taped over the breaker and left the bound live end. Two ' +
    'weeks later another trade moved it: a short circuit at 240 V.',
  checklist: 'cold-counter',
  attempts: [
    {
      tries: 'call a strip of tape a lock',
      rules: [REAL_LOCK],
      given: cut,
      attempt: does('olga', 'lock', { tag: 'tape' }),
      refused: 'tag-not-enough',
      opens: {
        never: [
          does('olga', 'lock', { tag: 'do not operate', measure: 'line conductor taken out' }),
        ],
      },
    },
    {
      tries: 'leave a tail that is not insulated',
      rules: [INSULATED],
      breaks: ['P10'],
      given: loose,
      attempt: park(false),
      refused: 'park-incomplete',
      opens: { never: [park(true)] },
    },
  ],
};
