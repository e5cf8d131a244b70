/**
 * The table of what ends what, on the shipped range job with its machine open: each event, what a person
 * touches to say it, and the steps that stand open again. The same rows are replayed through the engine
 * and on the screen.
 */
import type { Order } from '#lib/core/job/commands.ts';
import { ordered, rangeUntil, rangeUntilLive, type Prepared } from '../support/prepared-job.ts';

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
  /** Names of the buttons under “Something changed”, or where somebody comes back. */
  readonly touches?: readonly (string | RegExp)[];
  /** More than one touch: the browser test that walks it, by its file and this row's name. */
  readonly walkedIn?: string;
  /** Ordered while the job was prepared, after everything up to `until`. */
  readonly before?: readonly Order[];
  /** The step that is due after `before`, when it is another one. */
  readonly due?: string;
  /** The step on the screen then, when it is not the first of those asked. */
  readonly shows?: string;
  /** What stands open again even before it happens. */
  readonly askedBefore?: readonly string[];
  /** The job is the one that came to its live window. */
  readonly live?: true;
  /** Whose hand goes on afterwards, when it is another one. */
  readonly hand?: string;
  /** False when the way on is longer than the asked steps done again. */
  readonly mends?: false;
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
const ILSE: Order = {
  command: 'join',
  person: { id: 'ilse', name: 'Ilse Brandt', competence: ['electrical'] },
};
const TOLD: Order = { command: 'do', step: 'told', result: {} };
/** A new day or a new hand: who wears what, who knows what, and the plug, are as good as unknown. */
const anew = ['told', 'gloves', 'slack', 'unplug', ...proofs];

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
    orders: [ILSE],
    asked: ['told'],
    shows: 'wires',
    walkedIn: 'lapses.desktop.test.ts',
  },
  {
    // What the roll call asks for has served since it was called, and is asked for with it.
    name: 'a helper leaves after the roll call',
    until: 'clear',
    before: [
      ILSE,
      TOLD,
      { command: 'do', step: 'clear', result: { people: ['mara', 'ilse'], tools: 9 } },
    ],
    due: 'unlock',
    orders: [{ command: 'leave', person: 'ilse' }],
    asked: [...proofs, 'bond', 'clear'],
    walkedIn: 'lapses.desktop.test.ts',
  },
  {
    name: 'a shift ends: handed over, the incoming lock on first',
    until: 'wires',
    before: [ILSE, TOLD],
    orders: [{ command: 'handOver', to: 'ilse', lock: '7', walked: ['breaker', 'plug'] }],
    hand: 'ilse',
    asked: anew,
    walkedIn: 'lapses.desktop.test.ts',
  },
  {
    name: 'parked shut, and a second visit',
    until: 'wires',
    orders: [
      {
        command: 'park',
        as: 'shut',
        told: 'The tenant',
        owner: 'Dispatch',
        until: '2026-12-02',
        left: ['door-strap', 'rear-cover', 'top-screws', 'top-prop'].map((end) => ({
          end,
          insulated: true,
          why: 'A part is on its way',
        })),
      },
      { command: 'resume' },
    ],
    asked: anew,
    walkedIn: 'ways-to-stop.desktop.test.ts',
  },
  {
    name: 'a live window, and the end of it',
    until: 'live',
    live: true,
    // The lock is off for it, so what was proved stands for nothing any more.
    askedBefore: ['breaker-lock', ...proofs],
    orders: [
      { command: 'window', source: 'mains', step: 'live', reason: 'supply', readBack: 'Range' },
      { command: 'endWindow', again: true },
    ],
    asked: [
      'supply',
      'case',
      'breaker-off',
      'breaker-lock',
      'slack',
      'unplug',
      'residual',
      ...proofs,
      'clear-live',
      'live',
    ],
    mends: false,
    walkedIn: 'live-window.phone.test.ts',
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

export const rowNamed = (name: string): LapseRow => {
  const found = ROWS.find((row) => row.name === name);
  if (found === undefined) throw new Error(`The table has no row “${name}”.`);
  return found;
};

const kept = new Map<LapseRow, Promise<Prepared>>();

/** The job as it stands before the row happens. */
export function prepared(row: LapseRow): Promise<Prepared> {
  const job = kept.get(row) ?? prepare(row);
  kept.set(row, job);
  return job;
}

async function prepare({ until, before = [], live }: LapseRow): Promise<Prepared> {
  return ordered(live ? await rangeUntilLive() : await rangeUntil(until), before);
}
