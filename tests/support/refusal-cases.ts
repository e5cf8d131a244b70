/**
 * One case for every way in which the engine says no: what was done, what is asked for, what stands
 * against it, which steps clear it, and how it opens.
 */
import type { PlanStep } from '#lib/core/job/plan.ts';
import { planOf } from '#lib/core/job/plan.ts';
import type { RefusalCode } from '#lib/core/job/refusal.ts';
import {
  accepted,
  and,
  at,
  dryer,
  does,
  finished,
  given,
  goodResult,
  kiln,
  lamp,
  later,
  MARA,
  METER,
  MINUTE,
  ODE,
  PIP,
  range,
  unopened,
  walk,
  when,
  type Job,
  type Said,
} from './job-builder.ts';

export interface RefusalCase {
  /** The interlock that says it, when it is one. */
  readonly interlock?: string;
  readonly name: string;
  readonly job: () => Job;
  readonly said: (job: Job) => Said;
  readonly code: RefusalCode;
  readonly says: RegExp;
  /** Steps that clear it, as the refusal names them. */
  readonly clears?: readonly string[];
  /** After this the same order is accepted. */
  readonly opens?: (job: Job) => Job;
}

const both = [MARA, ODE];
const lapse = (what: 'leftSight' | 'moved' | 'panelTouched' | 'reEnergized'): Said => ({
  command: 'lapse',
  what,
  ...(what === 'reEnergized' ? { source: 'mains' } : {}),
});
const joins = (person = ODE): Said => ({ command: 'join', person });
const good =
  (step: string, by = MARA.id) =>
  (job: Job): Said =>
    does(step, goodResult(job, step, by), by);
const does_ =
  (step: string, result = {}, by?: string) =>
  () =>
    does(step, result, by);
const check = { expected: '120', shown: '119.6', unit: 'V' };
const pair = (value: string, unit = 'V') => ({ value, unit });

const window: Said = {
  command: 'window',
  source: 'motor',
  reason: 'The voltage has to be seen under command',
  readBack: 'motor circuit, disconnect 3, read back by Ode',
};
const windowOpen = () => and(at(dryer(), 'live', both), window);
const park: Said = {
  command: 'park',
  as: 'usable',
  told: 'The studio keeper',
  owner: 'dispatch',
  until: '2026-12-02',
  left: [],
};
const shut: Said = { ...park, as: 'shut' } as Said;

/** The way of a plan on which a step does not ask for water to be away. */
const wetDryer = planOf({
  ...dryer().checklist,
  id: 'wet-dryer',
  steps: dryer().checklist.steps.map((step) =>
    step.do === 'window' ? { ...step, wet: true } : step,
  ),
});

export const INTERLOCK_CASES: readonly RefusalCase[] = [
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
  {
    interlock: 'case',
    name: 'hands on a case that nobody tested since the source came back',
    job: () => and(at(kiln(), 'cover-off'), lapse('reEnergized')),
    said: good('cover-off'),
    code: 'case-unknown',
    says: /Nobody has tested the case of “Mains supply”/,
    clears: ['case', 'case-again'],
    opens: (job) => walk(job, 'cover-off'),
  },
  {
    interlock: 'case',
    name: 'hands on a case that read live',
    job: () => {
      const bad = { pairs: { 'case-ground': pair('41') }, before: check, instrument: METER.id };
      return when(at(kiln(), 'case'), does('case', bad)).job;
    },
    said: good('unplug'),
    code: 'case-live',
    says: /The case read live at “Mains supply”: hands off/,
    clears: ['case', 'case-again'],
    opens: (job) => walk(job, 'unplug'),
  },
  {
    interlock: 'dead',
    name: 'an exposed step before the proof',
    job: () => at(kiln(), 'dead'),
    said: good('cover-off'),
    code: 'not-dead',
    says: /“Mains supply” has not been proved dead/,
    clears: ['dead'],
    opens: (job) => walk(job, 'cover-off'),
  },
  {
    interlock: 'dead',
    name: 'an exposed step after the machine was out of sight',
    job: () => and(at(kiln(), 'wires'), lapse('leftSight')),
    said: good('wires'),
    code: 'stale-proof',
    says: /out of sight/,
    clears: ['dead'],
    opens: (job) => walk(job, 'wires'),
  },
  {
    interlock: 'dead',
    name: 'an exposed step before a stored energy is gone',
    job: () => at(kiln(), 'drain'),
    said: good('wires'),
    code: 'stored',
    says: /“Controller smoothing capacitor” still holds energy/,
    clears: ['drain'],
    opens: (job) => walk(job, 'wires'),
  },
  {
    interlock: 'dead',
    name: 'an exposed step while somebody here has no lock',
    job: () => and(at(kiln(), 'wires'), joins()),
    said: good('wires'),
    code: 'lock-owner',
    says: /ode has no lock.*“Kiln breaker in the studio panel”/,
    clears: ['breaker-lock'],
    opens: (job) => and(job, good('breaker-lock', ODE.id)(job)),
  },
  {
    interlock: 'dead',
    name: 'an exposed step on a plug that two people share by sight',
    job: () => and(at(lamp(), 'wires'), joins()),
    said: good('wires'),
    code: 'lock-owner',
    says: /More than one person is here and “Lamp plug” is held by sight alone/,
    opens: (job) => and(job, { command: 'leave', person: ODE.id, by: ODE.id }),
  },
  {
    interlock: 'dead',
    name: 'an exposed step with a plug that nobody keeps in sight',
    job: () => and(at(lamp(), 'wires'), lapse('leftSight')),
    said: good('wires'),
    code: 'not-dead',
    says: /Nobody keeps “Lamp plug” in sight/,
    clears: ['unplug'],
    opens: (job) => walk(job, 'wires'),
  },
  {
    interlock: 'dead',
    name: 'an exposed step when the source may be back',
    job: () => and(at(kiln(), 'wires'), lapse('reEnergized')),
    said: good('wires'),
    code: 'not-dead',
    says: /“Kiln plug” may have been switched on again: treat it as live and cut it again/,
    clears: ['unplug'],
    opens: (job) => walk(job, 'wires'),
  },
  {
    interlock: 'props',
    name: 'an exposed step under a prop after the machine was moved',
    job: () => and(at(kiln(), 'wires'), lapse('moved')),
    said: good('wires'),
    code: 'stored',
    says: /“Lid prop” has to be seated and shaken again/,
    clears: ['lid-up'],
    opens: (job) => and(job, does('lid-up')),
  },
  {
    interlock: 'wear',
    name: 'an exposed step without the gloves',
    job: () =>
      walk(
        and(
          at(dryer(), 'front-off', both),
          { command: 'downTools', why: 'Rain came in' },
          { command: 'resume' },
        ),
        'front-off',
      ),
    said: good('front-off', ODE.id),
    code: 'must-wear',
    says: /ode must be wearing: cut-resistant gloves/,
    clears: ['gloves', 'gloves-again'],
    opens: (job) => and(job, does('gloves', {}, ODE.id)),
  },
  {
    interlock: 'wear',
    name: 'a roll call with the gloves still on',
    job: () => at(kiln(), 'gloves-off'),
    said: good('clear'),
    code: 'must-not-wear',
    says: /mara must not be wearing: cut-resistant gloves A4/,
    clears: ['gloves-off'],
    opens: (job) => walk(job, 'clear'),
  },
  {
    interlock: 'briefing',
    name: 'an exposed step after somebody joined and was not briefed',
    job: () => {
      const job = and(at(dryer(), 'front-off', [MARA, ODE]), joins(PIP));
      return job;
    },
    said: good('front-off'),
    code: 'people',
    says: /brief everybody again \(“brief”\)/,
    clears: ['brief'],
    opens: (job) => walk(and(job, does('brief')), 'front-off'),
  },
  {
    interlock: 'find',
    name: 'a breaker that was not found by its load',
    job: () => at(kiln(), 'find-breaker'),
    said: good('breaker-off'),
    code: 'order',
    says: /Find the breaker by its load first \(“find-breaker”\)/,
    clears: ['find-breaker'],
    opens: (job) => walk(job, 'breaker-off'),
  },
  {
    interlock: 'lock-on-cut',
    name: 'a lock on a point that is not cut',
    job: () => at(kiln(), 'breaker-off'),
    said: good('breaker-lock'),
    code: 'not-dead',
    says: /“Kiln breaker in the studio panel” is not cut/,
    clears: ['breaker-off'],
    opens: (job) => walk(job, 'breaker-lock'),
  },
  {
    interlock: 'wait',
    name: 'a release before its computed wait is over',
    job: () => at(kiln(), 'drain'),
    said: (job) => ({ ...good('drain')(job), after: 1 }),
    code: 'wait',
    says: /“Controller smoothing capacitor” needs \d+ s more on the running clock/,
    opens: (job) => later(job, 4 * MINUTE),
  },
  {
    interlock: 'wait',
    name: 'a release whose wait has not begun',
    job: () => at(kiln(), 'find-breaker'),
    said: good('drain'),
    code: 'wait',
    says: /starts when every point that feeds it is cut/,
    opens: (job) => later(walk(job, 'drain'), 4 * MINUTE),
  },
  {
    interlock: 'prove-cut',
    name: 'a proof while a point is not cut',
    job: () => at(kiln(), 'unplug'),
    said: good('dead'),
    code: 'not-dead',
    says: /“Kiln plug” is not cut/,
    clears: ['unplug'],
    opens: (job) => walk(job, 'dead'),
  },
  {
    interlock: 'counted',
    name: 'a proof before the sources were counted',
    job: () => at(kiln(), 'count'),
    said: good('dead'),
    code: 'source-uncounted',
    says: /Count the sources on the machine itself/,
    clears: ['count'],
    opens: (job) => walk(job, 'dead'),
  },
  {
    interlock: 'counted',
    name: 'a proof when one more source was found than the list knows',
    job: () => walk(and(at(kiln(), 'count'), does('count', { sources: 4 })), 'dead'),
    said: good('dead'),
    code: 'source-uncounted',
    says: /4 sources were counted and this checklist knows 3: find out what the other one is/,
    clears: ['count'],
  },
  {
    interlock: 'dead-for-ohms',
    name: 'ohms on a source that is not proved dead',
    job: () => and(at(kiln(), 'element-ohms'), lapse('panelTouched')),
    said: good('element-ohms'),
    code: 'stale-proof',
    says: /the panel was touched/,
    clears: ['dead'],
    opens: (job) => walk(job, 'element-ohms'),
  },
  {
    interlock: 'part-off',
    name: 'contacts with the wires of the part still on',
    job: () => at(lamp(), 'wires'),
    said: good('switch'),
    code: 'order',
    says: /Take the part’s connectors off first \(“wires”\)/,
    clears: ['wires'],
    opens: (job) => walk(job, 'switch'),
  },
  {
    interlock: 'ends',
    name: 'an end that is open already',
    job: () => at(lamp(), 'wires'),
    said: good('base-off'),
    code: 'order',
    says: /“Base plate” is open already/,
  },
  {
    interlock: 'ends',
    name: 'closing what is not open',
    job: () => at(lamp(), 'base-off'),
    said: good('base-on'),
    code: 'order',
    says: /“Base plate” is not open/,
    opens: (job) => walk(job, 'base-on'),
  },
  {
    interlock: 'nothing-open',
    name: 'a roll call with a connector off',
    job: () => at(kiln(), 'rewire'),
    said: good('clear'),
    code: 'open-ends',
    says: /Connector w1 \(black at L1\) is still off: reseat it/,
    clears: ['rewire'],
    opens: (job) => walk(job, 'clear'),
  },
  {
    interlock: 'nothing-open',
    name: 'a roll call with a cover off',
    job: () => at(kiln(), 'cover-on'),
    said: good('clear'),
    code: 'open-ends',
    says: /“Rear cover” is still open: close it/,
    clears: ['cover-on'],
    opens: (job) => walk(job, 'clear'),
  },
  {
    interlock: 'own-lock',
    name: 'a lock that somebody else put on',
    job: () => at(kiln(), 'lock-off', [MARA, PIP]),
    said: (job) => does('lock-off', { lock: job.state.locks[0]?.number ?? '' }, PIP.id),
    code: 'lock-owner',
    says: /mara is here: a lock comes off by the hand of the person who put it on/,
  },
  {
    interlock: 'own-lock',
    name: 'taking off a lock where one has none',
    job: () =>
      and(
        at(kiln(), 'lock-off', [MARA, ODE]),
        good('lock-off', ODE.id)(at(kiln(), 'lock-off', [MARA, ODE])),
      ),
    said: does_('lock-off', {}, ODE.id),
    code: 'lock-owner',
    says: /ode has no lock on “Kiln breaker in the studio panel”/,
  },
  {
    interlock: 'roll-call',
    name: 'unlocking after somebody joined',
    job: () => and(at(kiln(), 'lock-off'), joins()),
    said: good('lock-off'),
    code: 'roll-call',
    says: /Everybody has to say clear again \(“clear”\)/,
    clears: ['clear'],
    opens: (job) =>
      and(job, does('gloves-off'), does('clear', { people: [MARA.id, ODE.id], tools: 0 })),
  },
  {
    interlock: 'locks-off',
    name: 'restoring under a lock',
    job: () => at(kiln(), 'lock-off'),
    said: good('plug-in'),
    code: 'lock-owner',
    says: /Lock mara-0 of mara is still on “Kiln breaker in the studio panel”/,
    clears: ['lock-off'],
    opens: (job) => walk(job, 'plug-in'),
  },
  {
    interlock: 'restore-order',
    name: 'restoring in another order than the reverse of the cutting',
    job: () => at(kiln(), 'plug-in'),
    said: good('power'),
    code: 'order',
    says: /in the reverse of the order of isolation: “Kiln plug” comes first/,
    clears: ['plug-in'],
    opens: (job) => walk(job, 'power'),
  },
  {
    interlock: 'restore-order',
    name: 'restoring what is not cut',
    job: () => at(kiln(), 'find-breaker'),
    said: good('power'),
    code: 'order',
    says: /“Kiln breaker in the studio panel” is not cut, so there is nothing to restore/,
  },
  {
    interlock: 'window-from-cut',
    name: 'a live window on a source that is on already',
    job: () => and(windowOpen(), { command: 'endWindow' }),
    said: () => window,
    code: 'not-dead',
    says: /“Disconnect beside the dryer” is not cut/,
    clears: ['switch-off'],
  },
  {
    interlock: 'wet',
    name: 'a live window where it is wet',
    job: () => at(wetDryer, 'live', both),
    said: () => window,
    code: 'barred',
    says: /A live window where it is wet is barred/,
  },
  {
    interlock: 'left-whole',
    name: 'signing over a point that is cut',
    job: () => at(kiln(), 'plug-in'),
    said: good('done'),
    code: 'open-ends',
    says: /“Kiln plug” is still cut/,
    clears: ['plug-in'],
    opens: (job) => walk(job, 'done'),
  },
];

/** What a command itself is refused for, beyond the gates of its step. */
export const COMMAND_CASES: readonly RefusalCase[] = [
  {
    name: 'a step of a job that is not open',
    job: () => unopened(kiln()),
    said: does_('case'),
    code: 'order',
    says: /The job is not open yet/,
  },
  {
    name: 'opening by somebody who lacks what the list asks for',
    job: () => unopened(kiln()),
    said: () => ({
      command: 'open',
      site: 'Weir Road',
      people: [PIP],
      instruments: [],
      by: PIP.id,
    }),
    code: 'competence',
    says: /pip is not authorized for: electrical/,
  },
  {
    name: 'an act by somebody who is not here',
    job: () => given(kiln()),
    said: does_('case', {}, 'nobody'),
    code: 'people',
    says: /nobody is not on this job: join first/,
  },
  {
    name: 'a step that the list does not have',
    job: () => given(kiln()),
    said: does_('tidy-up'),
    code: 'bad-input',
    says: /There is no step “tidy-up”/,
  },
  {
    name: 'leaving out what cannot be left out',
    job: () => given(kiln()),
    said: () => ({ command: 'notDone', step: 'case', why: 'In a hurry' }),
    code: 'order',
    says: /“case” cannot be left out\. If it cannot be done, park the job, refuse it, or put tools down/,
  },
  {
    name: 'a live window where the list has none',
    job: () => at(lamp(), 'wires'),
    said: () => ({ ...window, source: 'mains' }) as Said,
    code: 'barred',
    says: /no live window for “Mains supply”: measuring live is barred here/,
  },
  {
    name: 'a live window without a circuit read back',
    job: () => at(dryer(), 'live', both),
    said: () => ({ ...window, readBack: ' ' }) as Said,
    code: 'bad-input',
    says: /Name the circuit and have it read back/,
    opens: (job) => job,
  },
  {
    name: 'a thermostat in the place of the breaker',
    job: () => at(kiln(), 'breaker-off'),
    said: does_('breaker-off', { operated: 'thermostat' }),
    code: 'control-not-isolator',
    says: /“thermostat” is a control, not an isolating device: cut “Kiln breaker in the studio panel” itself/,
  },
  {
    name: 'tape in the place of a lock',
    job: () => at(kiln(), 'breaker-lock'),
    said: does_('breaker-lock', { lock: 'red tape', tag: 'Do not switch on' }),
    code: 'tag-not-enough',
    says: /“red tape” is no lock/,
  },
  {
    name: 'parking shut a machine that is on',
    job: () => given(kiln()),
    said: () => shut,
    code: 'park-incomplete',
    says: /“Mains supply” is not cut at “Kiln breaker in the studio panel”/,
    clears: ['breaker-off'],
  },
  {
    name: 'a value without an instrument',
    job: () => at(kiln(), 'cool'),
    said: does_('cool', { value: '24', unit: '°C' }),
    code: 'instrument',
    says: /Name the instrument the value was read with/,
  },
  {
    name: 'anything but an amendment after the end',
    job: () => and(finished(lamp()), { command: 'close' }),
    said: does_('count', { sources: 1 }),
    code: 'ended',
    says: /The job has ended; only an amendment can be added/,
  },
];

export const ALL_CASES = [...INTERLOCK_CASES, ...COMMAND_CASES];

/** The order after which a case opens, asked for again. */
export function againAfter(each: RefusalCase, job: Job): Job {
  const open = (each.opens ?? ((same) => same))(job);
  return accepted(when(open, each.said(open)));
}

export type Covers = (step: PlanStep) => boolean;
