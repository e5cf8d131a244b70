import { DEAD, caseOf, does, opens, type Replay, type Tap } from './replay.ts';

const arrived: readonly Tap[] = [
  opens('noor'),
  does('noor', 'count', { sources: 1 }),
  does('noor', 'case', caseOf('0.4')),
];
const proved: readonly Tap[] = [
  does('noor', 'unplug', { operated: 'plug' }),
  does('noor', 'lock', { lock: 'N-1' }),
  does('noor', 'dead', DEAD),
];
const reach = does('noor', 'reach');

export const A06: Replay = {
  id: 'A06',
  report: 'Forensic case of a trade magazine (ecmweb.com), trailer washer',
  happened:
    'A repairer alone at night worked on a washer that was plugged in under a counter; the ' +
    'ground of the supply had been defeated. He was found the next morning.',
  checklist: 'trailer-washer',
  attempts: [
    {
      tries: 'reach inside with the plug in',
      given: arrived,
      attempt: reach,
      refused: 'not-dead',
      opens: [
        ...proved,
        { command: 'join', person: { id: 'pia', competence: ['electrical'] }, by: 'pia' },
        does('pia', 'lock', { lock: 'P-1' }),
      ],
      gates: ['dead', 'order', 'people'],
      breaks: ['P1', 'P8'],
    },
    {
      tries: 'reach inside alone, with nobody to watch',
      given: [...arrived, ...proved],
      attempt: reach,
      refused: 'people',
      opens: [
        { command: 'join', person: { id: 'pia', competence: ['electrical'] }, by: 'pia' },
        does('pia', 'lock', { lock: 'P-1' }),
      ],
      gates: ['people'],
    },
    {
      tries: 'reach inside while the helper has no lock',
      given: [
        ...arrived,
        ...proved,
        { command: 'join', person: { id: 'pia', competence: ['electrical'] }, by: 'pia' },
      ],
      attempt: reach,
      refused: 'lock-owner',
      opens: [does('pia', 'lock', { lock: 'P-1' })],
      gates: ['dead'],
      breaks: ['P1'],
    },
  ],
};
