/** A short job on the bench lamp, with people of our own, for the tests of the device. */
import { readFileSync } from 'node:fs';
import type { Order } from '#lib/core/job/commands.ts';
import { Device } from '#lib/device/device.ts';
import type { OpenOrder } from '#lib/device/device.ts';
import type { JobSession } from '#lib/device/session.svelte.ts';
import { emptyDevice, must, photoOf } from './fresh-store.ts';

export const LAMP = readFileSync(new URL('./checklists/bench-lamp.yaml', import.meta.url), 'utf8');
const PROGRAM = { app: '0.1.0+test', rules: 'a'.repeat(64) };
const TESTER = {
  id: 'T-7',
  category: 'CAT III',
  volts: '600 V',
  due: '2099-01-01',
  percent: '0.5',
  counts: 3,
};

export const OPEN: OpenOrder = {
  command: 'open',
  site: 'Bench 4, Tannery Lane workshop',
  people: [{ id: 'mara', name: 'Mara Quill', competence: ['electrical'] }],
  instruments: [TESTER],
};

const PEOPLE = [
  { id: 'mara', name: 'Mara Quill', competence: ['electrical'] },
  { id: 'ode', name: 'Ode Brandt', competence: ['electrical'] },
];
export const ODE_JOINS: Order = {
  command: 'join',
  person: { id: 'ode', name: 'Ode Brandt', competence: ['electrical'] },
};

const check = { expected: '120', shown: '120', unit: 'V' };
const zero = { value: '0', unit: 'V' };

/** The first steps, in order: each is accepted when the ones before were. */
export const FIRST_STEPS: readonly Order[] = [
  { command: 'do', step: 'count', result: { sources: 1 } },
  { command: 'do', step: 'unplug', result: { operated: 'plug' } },
  {
    command: 'do',
    step: 'dead',
    result: {
      instrument: 'T-7',
      before: check,
      after: check,
      pairs: { 'L-N': zero, 'L-G': zero, 'N-G': zero },
    },
  },
];

/** A photo of the inside of the lamp, as bytes that the store takes for one. */
export const PHOTO = photoOf(4000);

/** The rest of the job, to the hand-back. */
export const LATER_STEPS: readonly Order[] = [
  { command: 'do', step: 'base-off', result: { photos: [PHOTO.sha256] } },
  {
    command: 'do',
    step: 'wires',
    result: {
      photos: [PHOTO.sha256],
      connectors: [
        {
          id: 'w1',
          label: 'brown',
          terminal: '1',
          pin: { photo: PHOTO.sha256, x: 310, y: 520 },
        },
      ],
    },
  },
  { command: 'do', step: 'switch', result: { rest: 'O', pressed: 'C', instrument: 'T-7' } },
  { command: 'do', step: 'rewire', result: { connector: 'w1' } },
  { command: 'do', step: 'base-on', result: {} },
  { command: 'do', step: 'clear', result: { people: ['mara'], tools: 3 } },
  { command: 'do', step: 'plug-in', result: {} },
  { command: 'do', step: 'done', result: {} },
  { command: 'close' },
];

/** A device that was never used, with both people enrolled. */
export async function freshDevice(): Promise<Device> {
  emptyDevice();
  return enrolledDevice();
}

export async function enrolledDevice(program = PROGRAM): Promise<Device> {
  const device = must(await Device.open(program, []));
  for (const person of PEOPLE) must(await device.enrol(person, 'mara'));
  return device;
}

export async function openedJob(device: Device, by = 'mara'): Promise<JobSession> {
  const started = await device.startJob({ checklist: LAMP, order: OPEN, by });
  if (started.ok) return started.session;
  const says = started.trouble?.says ?? started.refusals.map((each) => each.says).join(' ');
  throw new Error(says);
}
