import { describe, expect, test } from 'vitest';
import { LAPSES, type Lapse } from '#lib/core/checklist/model.ts';
import { anyFresh, controlFault, isProvenDead } from '#lib/core/safety/asks.ts';
import { startSafety, stepSafety, type SafetyState } from '#lib/core/safety/index.ts';
import { COOL, ISOLATED, POLISHER, polisherWith } from '../../../support/polisher.ts';
import {
  MARA,
  ODE,
  did,
  handedOver,
  joined,
  lapsed,
  left,
  parkedShut,
  resumed,
  stamped,
  tried,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

// A workshop where every fact stands at once: a tested case, a proof, a drained capacitor, a cool
// spindle, a plug in sight, a lock, gloves, a briefing, a seated prop, a roll call and a reading
// that was taken since the last check of its meter.
const standing: readonly Happening[] = [
  ...ISOLATED,
  did('raise'),
  did('ohms', { value: '11', unit: 'ohm', instrument: 'T-7' }),
  did('cool', COOL),
  did('clear', { people: [MARA], tools: 0 }),
];

const facts = {
  proof: (state: SafetyState) => isProvenDead(state, 0),
  control: (state: SafetyState) => controlFault(state, 0, [MARA]) === null,
  isolation: (state: SafetyState) => state.points.every((point) => point === 'open'),
  lock: (state: SafetyState) => state.holds.every((hold) => hold.sure),
  case: (state: SafetyState) => fresh(state, 'case'),
  drained: (state: SafetyState) => fresh(state, 'drain'),
  cool: (state: SafetyState) => fresh(state, 'cool'),
  prop: (state: SafetyState) => fresh(state, 'raise'),
  rollCall: (state: SafetyState) => fresh(state, 'clear'),
  briefing: (state: SafetyState) => fresh(state, 'told'),
  worn: (state: SafetyState) => state.people.some((person) => person.worn.length > 0),
  reading: (state: SafetyState) => fresh(state, 'ohms'),
} as const;
type Fact = keyof typeof facts;

function fresh(state: SafetyState, step: string): boolean {
  return anyFresh(state, [state.book.stepAt.get(step) ?? -1]);
}

function endedBy(happenings: readonly Happening[], checklist = POLISHER): Fact[] {
  let state = startSafety(checklist);
  for (const event of stamped([...standing, ...happenings])) state = stepSafety(state, event).state;
  return (Object.keys(facts) as Fact[]).filter((fact) => !facts[fact](state));
}

const suspended: Fact[] = ['proof', 'control', 'rollCall', 'briefing', 'worn'];
/** The table of the checklist format, cell by cell: what each row ends here, and nothing else. */
const rows: readonly (readonly [what: string, lapse: Happening, ends: Fact[]])[] = [
  ['time', lapsed('time'), []],
  ['leftSight', lapsed('leftSight'), ['proof', 'control']],
  ['leftSight, 29 min', lapsed('leftSight', { minutes: 29 }), ['proof', 'control']],
  [
    'leftSight, 30 min',
    lapsed('leftSight', { minutes: 30 }),
    ['proof', 'control', 'cool', 'briefing'],
  ],
  ['panelTouched', lapsed('panelTouched'), ['proof']],
  [
    'reEnergized',
    lapsed('reEnergized', { source: 'mains' }),
    ['proof', 'control', 'isolation', 'lock', 'case', 'drained'],
  ],
  [
    'reEnergized, nobody knows where',
    lapsed('reEnergized'),
    ['proof', 'control', 'isolation', 'lock', 'case', 'drained'],
  ],
  ['moved', lapsed('moved'), ['prop']],
  // The case was tested and the capacitor measured before the proof, whose last check was good.
  ['instrumentDoubt', lapsed('instrumentDoubt'), ['drained', 'cool', 'reading']],
  ['instrumentDoubt of another', lapsed('instrumentDoubt', { instrument: 'T-9' }), []],
  ['joined', lapsed('joined'), ['rollCall', 'briefing']],
  ['parked', lapsed('parked'), suspended],
  ['resumed', lapsed('resumed'), suspended],
  ['handedOver', lapsed('handedOver'), suspended],
  ['windowOpened', lapsed('windowOpened', { source: 'mains' }), ['proof']],
];

describe('the lapse table', () => {
  test('starts from facts that all stand', () => {
    expect(endedBy([])).toEqual([]);
  });

  test.each(rows)('%s ends just what its row says', (_, lapse, ends) => {
    expect(endedBy([lapse])).toEqual(ends);
  });

  test('has a row for every lapse', () => {
    const named = rows.map(([what]) => what.split(/[, ]/)[0]);
    expect(new Set(named)).toEqual(new Set<string>(LAPSES));
  });

  const listed: readonly (readonly [step: string, ends: Fact[]])[] = [
    ['dead', ['proof']],
    ['unplug', ['proof', 'control']],
    ['off', ['proof', 'control']],
    ['lock', ['control', 'lock']],
    ['case', ['case']],
    ['drain', ['drained']],
    ['cool', ['cool']],
    ['raise', ['prop']],
    ['clear', ['rollCall']],
    ['told', ['briefing']],
    ['gloves', ['worn']],
    ['ohms', ['reading']],
    ['nothing-of-the-kind', []],
  ];
  test.each(listed)('a lapse that lists %s ends %j', (step, ends) => {
    expect(endedBy([lapsed('time', { steps: [step] })])).toEqual(ends);
  });

  test.each(LAPSES)('%s ends what the checklist says it ends, too', (lapse: Lapse) => {
    const steps = POLISHER.steps.map((step) =>
      step.id === 'told' || step.id === 'gloves' ? { ...step, keeps: { unless: [lapse] } } : step,
    );
    const ended = endedBy([lapsed(lapse)], polisherWith({ steps }));
    expect(ended).toContain('briefing');
    expect(ended).toContain('worn');
  });

  // An event that is itself a lapse ends the same facts, with no lapse told beside it.
  const events: readonly (readonly [what: string, event: Happening, ends: Fact[]])[] = [
    ['parking', parkedShut(), suspended],
    ['resuming', resumed(), suspended],
    ['joining', joined(ODE), ['rollCall', 'briefing']],
    [
      'a live window',
      windowOpened('ohms'),
      ['proof', 'control', 'isolation', 'lock', 'case', 'drained'],
    ],
    [
      'a try that finds the source live',
      tried({ live: 'mains' }),
      ['proof', 'control', 'isolation', 'lock', 'case', 'drained'],
    ],
    ['a try that finds the case live', tried({ caseLive: 'mains' }), ['case']],
    ['a try that finds the meter wrong', tried({ doubt: 'T-7' }), ['drained', 'cool', 'reading']],
    ['leaving', left(ODE), ['rollCall']],
    ['a note', tried(), []],
  ];
  test.each(events)('%s ends just what its row says', (_, event, ends) => {
    expect(endedBy([event])).toEqual(ends);
  });

  test('a handover ends a suspension’s facts, and the locks of the one who goes', () => {
    expect(endedBy([joined(ODE), handedOver({ lock: 'O1' })])).toEqual(suspended);
  });

  test('a locked plug stays under control out of sight, and not through a suspension', () => {
    const steps = POLISHER.steps.map((step) =>
      step.id === 'lock' ? ({ ...step, point: 'plug' } as never) : step,
    );
    const onPlug = polisherWith({ steps });
    expect(endedBy([lapsed('leftSight')], onPlug)).not.toContain('holder');
    const kept = (happenings: Happening[]) => {
      let state = startSafety(onPlug);
      for (const event of stamped([...standing, ...happenings])) {
        state = stepSafety(state, event).state;
      }
      return state.holders.includes(MARA);
    };
    expect(kept([lapsed('leftSight')])).toBe(true);
    expect(kept([lapsed('parked')])).toBe(false);
  });
});
