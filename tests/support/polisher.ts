/**
 * A bench polisher in a fictional metal workshop: one of everything that the properties ask about.
 */
import type { Checklist, Step } from '#lib/core/checklist/model.ts';
import type { StepResult } from '#lib/core/job/events.ts';
import { MARA, METER, closed, did, later, notApplicable, opened, type Happening } from './trace.ts';

const GLOVES = 'cut-resistant gloves';

export const STEPS: readonly Step[] = [
  { id: 'told', phase: 'arrive', do: 'tell', say: 'Tell the workshop.' },
  {
    id: 'case',
    phase: 'arrive',
    do: 'case',
    source: 'mains',
    pairs: ['case-ground'],
    say: 'Test the case.',
  },
  {
    id: 'count',
    phase: 'arrive',
    do: 'confirm',
    counts: 'sources',
    states: 'Four in all',
    say: 'Count.',
  },
  { id: 'find', phase: 'isolate', do: 'find', source: 'mains', point: 'breaker', say: 'Find it.' },
  {
    id: 'off',
    phase: 'isolate',
    do: 'isolate',
    source: 'mains',
    point: 'breaker',
    say: 'Open it.',
  },
  { id: 'lock', phase: 'isolate', do: 'lock', source: 'mains', point: 'breaker', say: 'Lock it.' },
  { id: 'gloves', phase: 'isolate', do: 'wear', on: [GLOVES], say: 'Put on gloves.' },
  {
    id: 'unplug',
    phase: 'isolate',
    do: 'isolate',
    source: 'mains',
    point: 'plug',
    needs: ['gloves'],
    say: 'Unplug.',
  },
  { id: 'cool', phase: 'isolate', do: 'release', source: 'heat', say: 'Measure the spindle.' },
  { id: 'dead', phase: 'isolate', do: 'prove', source: 'mains', say: 'Prove dead.' },
  {
    id: 'drain',
    phase: 'isolate',
    do: 'release',
    source: 'capacitor',
    exposes: ['mains'],
    say: 'Measure.',
  },
  {
    id: 'cover-off',
    phase: 'open',
    do: 'open',
    end: 'cover',
    exposes: ['mains', 'heat', 'capacitor'],
    wearing: [GLOVES],
    say: 'Take it off.',
  },
  {
    id: 'raise',
    phase: 'open',
    do: 'open',
    end: 'prop',
    exposes: ['mains'],
    say: 'Prop the head.',
  },
  {
    id: 'wires',
    phase: 'work',
    do: 'disconnect',
    exposes: ['mains', 'capacitor'],
    expect: { least: 2 },
    say: 'Pull.',
  },
  {
    id: 'ohms',
    phase: 'work',
    do: 'reading',
    quantity: 'resistance',
    exposes: ['mains'],
    say: 'Measure.',
  },
  {
    id: 'verdict',
    phase: 'work',
    do: 'choose',
    options: { replace: 'Out', keep: 'In' },
    say: 'Choose.',
  },
  {
    id: 'fit',
    phase: 'work',
    do: 'confirm',
    when: { verdict: 'replace' },
    twice: true,
    exposes: ['mains'],
    states: 'The winding sits',
    say: 'Fit it.',
  },
  { id: 'rewire', phase: 'refit', do: 'reseat', exposes: ['mains', 'capacitor'], say: 'Push.' },
  {
    id: 'lower',
    phase: 'refit',
    do: 'close',
    end: 'prop',
    exposes: ['mains'],
    say: 'Lower the head.',
  },
  {
    id: 'look',
    phase: 'refit',
    do: 'confirm',
    states: 'No tool is inside',
    together: 'last',
    say: 'Look.',
  },
  { id: 'snap', phase: 'refit', do: 'photo', together: 'last', say: 'Take a picture.' },
  { id: 'cover-on', phase: 'refit', do: 'close', end: 'cover', say: 'Put it on.' },
  { id: 'gloves-off', phase: 'refit', do: 'wear', off: [GLOVES], say: 'Take gloves off.' },
  { id: 'clear', phase: 'restore', do: 'clear', say: 'Call the roll.' },
  {
    id: 'unlock',
    phase: 'restore',
    do: 'unlock',
    source: 'mains',
    point: 'breaker',
    say: 'Take it off.',
  },
  {
    id: 'plug-in',
    phase: 'restore',
    do: 'restore',
    source: 'mains',
    point: 'plug',
    say: 'Plug in.',
  },
  {
    id: 'power',
    phase: 'restore',
    do: 'restore',
    source: 'mains',
    point: 'breaker',
    say: 'Close it.',
  },
  {
    id: 'case-again',
    phase: 'restore',
    do: 'case',
    source: 'mains',
    pairs: ['case-ground'],
    say: 'Test.',
  },
  {
    id: 'spins',
    phase: 'finish',
    do: 'reading',
    quantity: 'current',
    bare: [GLOVES],
    say: 'Measure.',
  },
  { id: 'done', phase: 'finish', do: 'sign', say: 'Sign.' },
];

export const POLISHER: Checklist = {
  format: 1,
  id: 'polisher',
  title: 'Replace the winding of a bench polisher',
  revision: 1,
  issued: '2026-10-01',
  language: 'en',
  scope: 'One bench polisher',
  defer: 'The local code comes first.',
  licensed: 'Stop for damaged wiring.',
  competence: [],
  references: {},
  barred: [],
  sources: {
    mains: {
      kind: 'electrical',
      label: 'Mains',
      nominal: '230 V',
      case: 'metal',
      points: {
        breaker: { label: 'Breaker', by: 'breaker', control: 'lock' },
        plug: { label: 'Plug', by: 'plug', control: 'exclusive' },
      },
      dead: { pairs: ['L-N', 'L-G', 'N-G'], below: '2 V', category: 'CAT III' },
    },
    heat: { kind: 'thermal', label: 'Spindle heat', release: { cool: { below: '48 °C' } } },
    // 470 uF through 100 kohm from 325 V to 10 V: 47 s times ln 32.5, which is 164 s.
    capacitor: {
      kind: 'charge',
      label: 'Capacitor',
      nominal: '325 V',
      release: { discharge: { capacitance: '470 uF', bleed: '100 kohm', below: '10 V' } },
    },
    head: { kind: 'gravity', label: 'Raised head' },
  },
  ends: {
    cover: { label: 'Cover', kind: 'cover' },
    prop: { label: 'Prop under the head', kind: 'prop' },
  },
  steps: STEPS,
};

/** The polisher with some of it replaced. */
export function polisherWith(more: Partial<Checklist>): Checklist {
  return { ...POLISHER, ...more };
}

/** The polisher with one step replaced in part. */
export function polisherStep(id: string, more: Partial<Step>): Checklist {
  const steps = STEPS.map((step) => (step.id === id ? ({ ...step, ...more } as Step) : step));
  return polisherWith({ steps });
}

const CHECK = { expected: '230', shown: '229.1', unit: 'V' };
const zero = { value: '0.0', unit: 'V' };

export const CASE_CLEAR: StepResult = {
  pairs: { 'case-ground': { value: '0.4', unit: 'V' } },
  before: CHECK,
  instrument: METER.id,
};
export const DEAD: StepResult = {
  pairs: { 'L-N': zero, 'L-G': zero, 'N-G': zero },
  before: CHECK,
  after: CHECK,
  instrument: METER.id,
};
export const COOL: StepResult = { value: '31', unit: '°C', instrument: METER.id };
export const DRAINED: StepResult = { value: '0.8', unit: 'V', instrument: METER.id };
export const connector = (id: string) => ({ id, label: id, terminal: id });

/** From the opening to the last step before anything is opened. */
export const ISOLATED: readonly Happening[] = [
  opened(MARA),
  did('told'),
  did('case', CASE_CLEAR),
  did('count', { sources: 4 }),
  did('find'),
  did('off', { operated: 'breaker' }),
  did('lock', { lock: 'M1' }),
  did('gloves'),
  did('unplug', { operated: 'plug' }),
  did('cool', COOL),
  did('dead', DEAD),
  later(3),
  did('drain', DRAINED),
];

export const WORKED: readonly Happening[] = [
  did('cover-off'),
  did('raise'),
  did('wires', { connectors: [connector('w1'), connector('w2')] }),
  did('ohms', { value: '11.2', unit: 'ohm', instrument: METER.id }),
  did('verdict', { option: 'keep' }),
  notApplicable('fit'),
  did('rewire', { connector: 'w1' }),
  did('rewire', { connector: 'w2' }),
  did('lower'),
  did('look'),
  did('snap'),
  did('cover-on'),
  did('gloves-off'),
];

export const RESTORED: readonly Happening[] = [
  did('clear', { people: [MARA], tools: 3 }),
  did('unlock'),
  did('plug-in'),
  did('power'),
  did('case-again', CASE_CLEAR),
];

/** A whole job by one person that breaks nothing. */
export const WHOLE_JOB: readonly Happening[] = [
  ...ISOLATED,
  ...WORKED,
  ...RESTORED,
  did('spins', { value: '1.9', unit: 'A' }),
  did('done'),
  closed(),
];
