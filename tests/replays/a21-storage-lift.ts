import { DEAD, does, opens, type Replay, type Tap } from './replay.ts';

const outside = does('vera', 'outside', { people: ['vera'], tools: 0 });
const jog: Tap = {
  command: 'window',
  source: 'mains',
  step: 'jog',
  reason: 'which way it moves',
  readBack: 'lift two, nobody inside',
  by: 'vera',
};
const moved: readonly Tap[] = [
  opens('vera'),
  does('vera', 'count', { sources: 1 }),
  does('vera', 'find'),
  does('vera', 'off', { operated: 'breaker' }),
  does('vera', 'lock', { lock: 'V-6' }),
  does('vera', 'dead', DEAD),
  does('vera', 'gate-open'),
  does('vera', 'look'),
  does('vera', 'gate-shut'),
  outside,
  does('vera', 'unlock-first'),
  jog,
  { command: 'endWindow', again: true, by: 'vera' },
];

export const A21: Replay = {
  id: 'A21',
  report: 'FACE 17OR022',
  happened:
    'A technician lay inside a vertical store while a trainee jogged it. It moved the wrong way; ' +
    'he ordered another input, and it crushed him.',
  checklist: 'storage-lift',
  attempts: [
    {
      tries: 'try the same once more after it moved the wrong way',
      gates: ['roll-call', 'window-from-cut', 'once', 'order'],
      breaks: ['P8'],
      given: moved,
      attempt: jog,
      refused: 'roll-call',
      opens: [
        does('vera', 'off', { operated: 'breaker' }),
        does('vera', 'lock', { lock: 'V-6' }),
        does('vera', 'dead', DEAD),
        outside,
        does('vera', 'unlock-first'),
      ],
    },
    {
      tries: 'read on after the window was closed',
      gates: ['window'],
      given: moved,
      attempt: does('vera', 'motor-volts', { value: '230', unit: 'V', instrument: 'meter-3' }),
      refused: 'live-window',
      opens: { never: [] },
    },
  ],
};
