/** Cases of the interlocks about order, needs, people and what they may do. */
import {
  and,
  at,
  dryer,
  does,
  kiln,
  later,
  METER,
  MINUTE,
  ODE,
  PIP,
  range,
  walk,
} from './job-builder.ts';
import {
  both,
  lapse,
  joins,
  good,
  does_,
  window,
  windowOpen,
  type RefusalCase,
} from './refusal-case.ts';

export const STEP_CASES: readonly RefusalCase[] = [
  {
    interlock: 'window',
    name: 'an act that is none of the readings of an open window',
    job: windowOpen,
    said: does_('gloves-again'),
    code: 'live-window',
    says: /only its readings may be taken; close it and prove dead again/,
    opens: (job) => and(job, good('live-volts')(job), { command: 'endWindow' }),
  },
  {
    interlock: 'window',
    name: 'a reading of a window that is not open',
    job: () => at(dryer(), 'live', both),
    said: good('live-volts'),
    code: 'live-window',
    says: /“live-volts” may only be taken inside its live window \(“live”\)/,
    clears: ['live'],
    opens: (job) => and(job, window),
  },
  {
    interlock: 'window',
    name: 'a reading in a window that is over its time',
    job: () => later(windowOpen(), 3 * MINUTE),
    said: good('live-volts'),
    code: 'live-window',
    says: /over its time: close it/,
  },
  {
    interlock: 'order',
    name: 'a step before the one that comes first',
    job: () => at(kiln(), 'slack'),
    said: good('cool'),
    code: 'order',
    says: /“slack” comes first/,
    clears: ['slack'],
    opens: (job) => walk(job, 'cool'),
  },
  {
    interlock: 'once',
    name: 'a step that is done and still holds',
    job: () => at(kiln(), 'gloves'),
    said: does_('count', { sources: 3 }),
    code: 'order',
    says: /“count” is done and still holds; correct it first/,
  },
  {
    interlock: 'once',
    name: 'a step that an earlier choice rules out',
    job: () => walk(at(kiln(), 'verdict'), 'rewire', { options: { verdict: 'keep' } }),
    said: does_('fit'),
    code: 'order',
    says: /“fit” does not apply here: verdict is keep/,
  },
  {
    interlock: 'once',
    name: 'the second hand of the same person',
    job: () => and(at(dryer(), 'one-more', both), does('one-more', { sources: 5 })),
    said: does_('one-more', { sources: 5 }),
    code: 'people',
    says: /mara has done this already; it wants a second person/,
    clears: ['one-more'],
  },
  {
    interlock: 'due-order',
    name: 'a lapsed step before the one above it that lapsed too',
    job: () =>
      and(at(dryer(), 'wires', both), {
        command: 'lapse',
        what: 'reEnergized',
        source: 'motor',
      }),
    said: good('switch-off'),
    code: 'order',
    says: /“supply” comes first/,
    clears: ['supply'],
    opens: (job) => walk(job, 'switch-off'),
  },
  {
    interlock: 'needs',
    name: 'a named need that lapsed',
    job: () => and(at(kiln(), 'unplug'), lapse('moved')),
    said: good('unplug'),
    code: 'order',
    says: /It needs “slack” to hold: do it again/,
    clears: ['slack'],
    opens: (job) => and(job, does('slack')),
  },
  {
    interlock: 'needs',
    name: 'a named need that did not pass',
    job: () => {
      const job = at(dryer(), 'winding', both);
      const read = does('winding', { value: '9.00', unit: 'ohm', instrument: METER.id });
      return walk(and(job, read), 'fit');
    },
    said: does_('fit'),
    code: 'interlock',
    says: /“winding” did not pass; what depends on it stays closed/,
    clears: ['winding'],
    opens: (job) =>
      and(
        walk(
          and(job, { command: 'correct', step: 'winding', why: 'Probe on the wrong blade' }),
          'fit',
        ),
      ),
  },
  {
    interlock: 'needs',
    name: 'a supply that nobody has measured',
    job: () =>
      and(at(dryer(), 'wires', both), {
        command: 'lapse',
        what: 'reEnergized',
        source: 'motor',
      }),
    said: good('case'),
    code: 'supply-unknown',
    says: /The supply has not been measured: do “supply” first/,
    clears: ['supply'],
    opens: (job) => and(job, good('supply')(job)),
  },
  {
    interlock: 'needs',
    name: 'a supply that is out of limits',
    job: () =>
      and(
        at(dryer(), 'supply', both),
        does('supply', { value: '188', unit: 'V', instrument: METER.id }),
      ),
    said: good('case'),
    code: 'supply-bad',
    says: /“supply” is out of limits: no further on this supply/,
    clears: ['supply'],
    opens: (job) => {
      const again = and(job, { command: 'correct', step: 'supply', why: 'Read the wrong pair' });
      return and(again, good('supply')(again));
    },
  },
  {
    interlock: 'needs',
    name: 'gloves as a need, taken off when the job stopped',
    job: () =>
      and(at(kiln(), 'unplug'), { command: 'downTools', why: 'Smoke' }, { command: 'resume' }),
    said: good('unplug'),
    code: 'must-wear',
    says: /mara must be wearing: cut-resistant gloves A4/,
    clears: ['gloves'],
    opens: (job) => walk(job, 'unplug'),
  },
  {
    interlock: 'needs',
    name: 'a lock as a need is one’s own',
    job: () => and(at(range(), 'unplug'), joins(), does('gloves', {}, ODE.id)),
    said: good('unplug', ODE.id),
    code: 'order',
    says: /It needs “breaker-lock” to hold/,
    clears: ['breaker-lock'],
    opens: (job) => and(job, does('told'), good('breaker-lock', ODE.id)(job)),
  },
  {
    interlock: 'people',
    name: 'a step for two with one person here',
    job: () => and(at(dryer(), 'top-up', both), { command: 'leave', person: ODE.id, by: ODE.id }),
    said: good('top-up'),
    code: 'people',
    says: /wants at least 2 people here; there are 1/,
    opens: (job) => walk(and(job, joins()), 'top-up'),
  },
  {
    interlock: 'competence',
    name: 'a proof by somebody who is not authorized for it',
    job: () => and(at(kiln(), 'dead'), joins(PIP), does('breaker-lock', { lock: 'P-1' }, PIP.id)),
    said: good('dead', PIP.id),
    code: 'competence',
    says: /pip is not authorized for: electrical/,
  },
];
