import { RESIDUAL } from './rules.ts';
import { DEAD, caseOf, does, opens, passes, reads, type Replay, type Tap } from './replay.ts';

const cut: readonly Tap[] = [
  opens('hale'),
  does('hale', 'count', { sources: 2 }),
  does('hale', 'case', caseOf('0.2')),
  does('hale', 'find'),
  does('hale', 'off', { operated: 'breaker' }),
  does('hale', 'lock', { lock: 'H-1' }),
  does('hale', 'dead', DEAD),
];
const cooled = [passes(240), does('hale', 'cool', reads('38', '°C'))];

export const A24: Replay = {
  id: 'A24',
  report: 'OSHA inspection 202540936',
  happened:
    'A mechanic came back at lunch with parts for a fryer. Five gallons of hot oil were drained ' +
    'into a pot on a walkway; a cook tripped over it and was burned.',
  checklist: 'kitchen-fryer',
  attempts: [
    {
      tries: 'drain the oil at 150 °C',
      given: cut,
      attempt: does('hale', 'drain'),
      refused: 'stored',
      opens: cooled,
      gates: ['dead', 'order'],
      breaks: ['P1', 'P8'],
    },
    {
      tries: 'call 150 °C cool',
      rules: [RESIDUAL],
      breaks: ['P7'],
      given: cut,
      attempt: does('hale', 'cool', reads('150', '°C')),
      refused: 'stored',
      opens: { never: cooled },
    },
  ],
};
