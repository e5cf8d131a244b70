import { DEAD, does, opens, type Replay, type Tap } from './replay.ts';

const changed: readonly Tap[] = [
  opens('jory'),
  does('jory', 'count', { sources: 1 }),
  does('jory', 'unplug', { operated: 'plug' }),
  does('jory', 'dead', DEAD),
  does('jory', 'gloves'),
  does('jory', 'guard-off'),
  does('jory', 'guard-on'),
];
const keyed = [
  does('jory', 'gloves-off'),
  does('jory', 'key-out'),
  does('jory', 'clear', { people: ['jory'], tools: 1 }),
];

export const A22: Replay = {
  id: 'A22',
  report: 'Safety alert 15 of an offshore regulator (nopsa.gov.au)',
  happened:
    'A bit was changed on a drill press that nobody had isolated. A foot touched the pedal, the ' +
    'chuck key caught the glove, and an arm broke.',
  checklist: 'drill-press',
  attempts: [
    {
      tries: 'give it power with gloves on',
      given: changed,
      attempt: does('jory', 'plug-in'),
      refused: 'must-not-wear',
      opens: keyed,
      gates: ['wear', 'order', 'roll-call'],
      breaks: ['P3', 'P8'],
    },
    {
      tries: 'take the guard off with the plug in',
      given: changed.slice(0, 2),
      attempt: does('jory', 'guard-off'),
      refused: 'not-dead',
      opens: changed.slice(2, 5),
      gates: ['dead', 'order', 'wear'],
      breaks: ['P1', 'P8'],
    },
  ],
};
