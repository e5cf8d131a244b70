import { DEAD, does, opens, type Replay, type Tap } from './replay.ts';

const inTheBox: readonly Tap[] = [
  opens('kit'),
  does('kit', 'count', { sources: 1 }),
  does('kit', 'find'),
  does('kit', 'off', { operated: 'breaker' }),
  does('kit', 'lock', { lock: 'K-7' }),
  does('kit', 'dead', DEAD),
  does('kit', 'lid-off'),
];

export const A12: Replay = {
  id: 'A12',
  report: 'Safety alert 78 of a group-training company, 2018 (egt.net.au)',
  happened:
    'Two people had proved a circuit dead together. Then the tradesman switched “unaffected” ' +
    'circuits back on, the wrong one among them. Nobody tested again, and the apprentice was ' +
    'shocked.',
  checklist: 'lighting-circuit',
  attempts: [
    {
      tries: 'grip the conductors after another breaker of the panel was closed',
      given: [...inTheBox, { command: 'lapse', what: 'panelTouched', by: 'kit' }],
      attempt: does('kit', 'grip'),
      refused: 'stale-proof',
      opens: [does('kit', 'dead', DEAD)],
      gates: ['dead'],
      breaks: ['P1', 'P5'],
    },
    {
      tries: 'grip the conductors after lunch',
      given: [...inTheBox, { minutes: 31 }],
      attempt: does('kit', 'grip'),
      refused: 'stale-proof',
      opens: [does('kit', 'dead', DEAD)],
      gates: ['dead'],
      breaks: ['P1', 'P5'],
    },
  ],
};
