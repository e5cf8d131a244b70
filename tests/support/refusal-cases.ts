/**
 * One case for every way in which the engine says no: what was done, what is asked for, what stands
 * against it, which steps clear it, and how it opens.
 */
import {
  and,
  at,
  dryer,
  finished,
  given,
  kiln,
  lamp,
  PIP,
  unopened,
  type Said,
} from './job-builder.ts';
import { both, does_, window, shut, type RefusalCase } from './refusal-case.ts';
import { ENERGY_CASES } from './refusal-cases-energy.ts';
import { RESTORE_CASES } from './refusal-cases-restore.ts';
import { STEP_CASES } from './refusal-cases-steps.ts';

export const INTERLOCK_CASES = [...STEP_CASES, ...ENERGY_CASES, ...RESTORE_CASES];

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
