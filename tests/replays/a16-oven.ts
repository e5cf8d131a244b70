import { NOT_THE_LAST, PARKED_CUT } from './rules.ts';
import { caseOf, does, opens, type Replay, type Tap } from './replay.ts';

const looked: readonly Tap[] = [
  opens('thea'),
  does('thea', 'count', { sources: 1 }),
  does('thea', 'case', caseOf('0.3')),
];

export const A16: Replay = {
  id: 'A16',
  report: 'Summary of an expert witness, domestic oven (expertinstitute.com)',
  happened:
    'A serviceman found an oven overheating, lacked papers and parts, and left without disabling ' +
    'it. Three weeks later it burned, and a child died.',
  checklist: 'oven-thermostat',
  attempts: [
    {
      tries: 'leave the site with the part not in hand',
      rules: [NOT_THE_LAST],
      breaks: ['P10'],
      given: looked,
      attempt: { command: 'leave', person: 'thea', by: 'thea' },
      refused: 'park-incomplete',
      opens: {
        never: [
          does('thea', 'find'),
          does('thea', 'off', { operated: 'breaker' }),
          does('thea', 'lock', { lock: 'T-5' }),
          {
            command: 'park',
            as: 'shut',
            told: 'both adults at home',
            owner: 'the office',
            until: '2026-12-02',
            left: [],
            lock: 'F-8',
            by: 'thea',
          },
        ],
      },
    },
    {
      tries: 'park it shut while it can still be switched on',
      rules: [PARKED_CUT],
      breaks: ['P10'],
      given: looked,
      attempt: {
        command: 'park',
        as: 'shut',
        told: 'both adults at home',
        owner: 'the office',
        until: '2026-12-02',
        left: [],
        lock: 'F-8',
        by: 'thea',
      },
      refused: 'park-incomplete',
      opens: [
        does('thea', 'find'),
        does('thea', 'off', { operated: 'breaker' }),
        does('thea', 'lock', { lock: 'T-5' }),
      ],
    },
  ],
};
