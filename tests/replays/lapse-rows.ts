/**
 * The table of what ends what, on the shipped range job with its machine open: each event, what a person
 * touches to say it, and the steps that stand open again. The same rows are replayed through the engine
 * and on the screen.
 */
import type { Order } from '#lib/core/job/commands.ts';

export interface LapseRow {
  readonly name: string;
  /** The step that is due when it happens; the job is prepared up to it. */
  readonly until: string;
  /** What is ordered, one after the other. */
  readonly orders: readonly Order[];
  /** The steps to do again, in the order of the list. */
  readonly asked: readonly string[];
  /** False when what is due next is not closed by it. */
  readonly closes?: false;
  /** The meter has to be seen right on a known source before it reads again. */
  readonly meterFirst?: true;
  /** Names of the buttons; absent: another test touches it. */
  readonly touches?: readonly (string | RegExp)[];
  /** Nobody was there for so long, and the device began anew. */
  readonly goneMs?: number;
  /** What has lapsed before anybody says anything. */
  readonly byItself?: readonly string[];
}

const MINUTE = 60_000;
const lapse = (more: Omit<Extract<Order, { command: 'lapse' }>, 'command'>): Order => ({
  command: 'lapse',
  ...more,
});
const proofs = ['dead', 'dead-block'];

export const ROWS: readonly LapseRow[] = [
  {
    name: 'a call, at the machine, hands off',
    until: 'wires',
    orders: [],
    asked: [],
    touches: [/^Still here/u],
  },
  {
    name: 'out of sight, the breaker locked, the plug not: its control and the proof',
    until: 'wires',
    orders: [lapse({ what: 'leftSight' })],
    asked: ['slack', 'unplug', ...proofs],
    touches: [/^I was out of sight/u],
  },
  {
    name: 'lunch: briefing and heat too',
    until: 'wires',
    orders: [lapse({ what: 'leftSight', minutes: 31 })],
    asked: ['told', 'cool', 'slack', 'unplug', ...proofs],
    touches: [/^I was away for more than half an hour/u],
  },
  {
    name: 'another circuit of the panel was switched',
    until: 'wires',
    orders: [lapse({ what: 'panelTouched' })],
    asked: proofs,
    touches: [/^Somebody switched something in the same panel/u],
  },
  {
    name: 'a member of the household switched the breaker on',
    until: 'wires',
    orders: [lapse({ what: 'reEnergized', source: 'mains' })],
    asked: [
      'supply',
      'case',
      'breaker-off',
      'breaker-lock',
      'slack',
      'unplug',
      'residual',
      ...proofs,
    ],
    touches: [/^Somebody switched it on, or it may be on/u],
  },
  {
    name: 'an outage of the utility, and its return',
    until: 'wires',
    orders: [lapse({ what: 'panelTouched' })],
    asked: proofs,
    touches: [/^The power of the house failed/u],
  },
  {
    name: 'the machine was moved',
    until: 'wires',
    orders: [lapse({ what: 'moved' })],
    asked: ['top-up', 'shake'],
    touches: ['The machine was moved'],
  },
  {
    name: 'the meter was dropped: what it read since it was last checked',
    until: 'board-look',
    orders: [lapse({ what: 'instrumentDoubt', instrument: 'dmm-14' })],
    asked: ['motor', 'sensor', 'harness'],
    closes: false,
    meterFirst: true,
    touches: [/^The meter was dropped/u],
  },
  {
    name: 'a helper joins',
    until: 'wires',
    orders: [
      {
        command: 'join',
        person: { id: 'ilse', name: 'Ilse Brandt', competence: ['electrical'] },
      },
    ],
    asked: ['told'],
  },
  {
    name: 'the battery died: the time in between is not known',
    until: 'wires',
    orders: [],
    goneMs: 11 * MINUTE,
    byItself: proofs,
    asked: proofs,
    touches: [/^Still here/u],
  },
  {
    name: 'back from the van after an hour: away, and for long',
    until: 'wires',
    orders: [lapse({ what: 'leftSight', minutes: 61 })],
    goneMs: 61 * MINUTE,
    byItself: proofs,
    asked: ['told', 'cool', 'slack', 'unplug', ...proofs],
    touches: [/^I was out of sight/u],
  },
];
