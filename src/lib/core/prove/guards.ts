/**
 * What each gate is for: which of the twelve properties it serves, the accident that it would have
 * stopped, and the public report of one where a replay in `tests/replays` runs it. Where no report is
 * cited the accident is common knowledge of the trade, with no source.
 *
 * The engine and the properties do not know of each other; only the room that runs both can say this.
 */
import type { Lapse } from '../checklist/model.ts';
import { INTERLOCKS } from '../job/interlocks.ts';
import type { Plan } from '../job/plan.ts';
import type { PropertyId } from '../safety/index.ts';
import { gatesOf } from './removal.ts';

export interface Guard {
  readonly serves: readonly [PropertyId, ...PropertyId[]];
  /** One plain sentence. */
  readonly stops: string;
  readonly report?: string;
}

const MICROWAVE = 'FACE 94MD038, NIOSHTIC 20026141';
const DISHWASHER = 'Trade press report of a hearing at Elgin Sheriff Court on a death in 2009';
const MACERATOR = 'HSE prosecution, Southwark 2023, death in 2017';
const BOILER = 'FACE 03MI079';
const WASHER = 'FACE 11CA007';

/** By the id of the interlock. */
export const INTERLOCK_GUARDS: Readonly<Record<string, Guard>> = {
  window: {
    serves: ['P1', 'P8'],
    stops: 'Hands go back into a machine that moves or is live while somebody is still measuring.',
    report: 'FACE 17OR022',
  },
  order: {
    serves: ['P8', 'P1'],
    stops: 'A cover comes off before anybody has pulled the plug.',
    report: MICROWAVE,
  },
  once: {
    serves: ['P8'],
    stops: 'The first of two people ticks twice, and the second look never happens.',
  },
  'due-order': {
    serves: ['P11', 'P5', 'P8'],
    stops: 'After a break the meter goes to the pins before the case is tested again.',
  },
  needs: {
    serves: ['P8'],
    stops: 'A machine with a failed door interlock is handed over and starts with somebody inside.',
    report: WASHER,
  },
  people: {
    serves: ['P8', 'P3'],
    stops: 'Somebody works alone, and is found the next morning.',
    report: 'Forensic case of a trade magazine (ecmweb.com), trailer washer',
  },
  competence: {
    serves: ['P1'],
    stops: 'A partner who is new to the work opens an energized unit.',
    report: 'FACE 92NJ019',
  },
  case: {
    serves: ['P11'],
    stops: 'A hand closes on a metal case that a lost ground has left live.',
    report: MACERATOR,
  },
  dead: {
    serves: ['P1', 'P5'],
    stops: 'A hand goes into a circuit that is still on.',
    report: MICROWAVE,
  },
  props: {
    serves: ['P1'],
    stops: 'A lid or a raised machine comes down on whoever works under it.',
  },
  wear: {
    serves: ['P8'],
    stops: 'A glove is caught by the chuck and the arm is broken.',
    report: 'Safety alert 15 of an offshore regulator (nopsa.gov.au)',
  },
  briefing: {
    serves: ['P3', 'P8'],
    stops: 'Somebody who came later reaches in, never told what is open and what is live.',
  },
  find: {
    serves: ['P1', 'P12'],
    stops: 'The panel directory says 14, the machine is on 18: the wrong breaker is opened.',
  },
  'lock-on-cut': {
    serves: ['P12', 'P1'],
    stops: 'A lock hangs on a breaker that is still closed, and everybody trusts the lock.',
  },
  wait: {
    serves: ['P7'],
    stops: 'A capacitor is drained too early and still holds enough to kill.',
    report: MICROWAVE,
  },
  'prove-cut': {
    serves: ['P12', 'P1'],
    stops: 'Zero volts are read at a thermostat that happens to be off, and believed.',
  },
  counted: {
    serves: ['P12'],
    stops: 'One feed is off and proved dead; a second one nobody counted is live.',
  },
  'dead-for-ohms': {
    serves: ['P1', 'P5'],
    stops: 'An ohmmeter meets a live circuit and bursts in the hand that holds it.',
  },
  'part-off': {
    serves: ['P8'],
    stops: 'A welded switch reads well through its neighbours, is left in, and is trusted.',
  },
  ends: {
    serves: ['P8', 'P2'],
    stops: 'A cover is ticked as closed that was never opened, and the open one is forgotten.',
  },
  'nothing-open': {
    serves: ['P2'],
    stops: 'Power comes back with a cover off; somebody who leans past it is killed.',
    report: BOILER,
  },
  'own-lock': {
    serves: ['P4'],
    stops: 'One person takes another one’s lock off while that one is still inside.',
  },
  'roll-call': {
    serves: ['P3'],
    stops: 'The machine is started while a worker leans in.',
    report: WASHER,
  },
  'locks-off': {
    serves: ['P3'],
    stops: 'Power is forced back past a lock whose owner is still at work.',
  },
  'restore-order': {
    serves: ['P8'],
    stops: 'The plug is pushed in under load, and flashes in the hand.',
  },
  'window-from-cut': {
    serves: ['P8', 'P1'],
    stops: 'Clips are put on with the power already on, and a finger slips.',
  },
  wet: {
    serves: ['P1'],
    stops: 'Somebody measures inside a machine that is live and wet.',
    report: DISHWASHER,
  },
  'left-whole': {
    serves: ['P10'],
    stops: 'A job is signed off with a cover open or a circuit off, and the next one finds out.',
  },
};

/** By the row of the standing lapse table. */
export const LAPSE_GUARDS: Readonly<Record<Lapse, Guard>> = {
  time: {
    serves: ['P5', 'P3'],
    stops: 'A proof from the morning is trusted in the afternoon.',
  },
  leftSight: {
    serves: ['P5', 'P1'],
    stops: 'While the technician is at lunch somebody puts the plug back in.',
  },
  panelTouched: {
    serves: ['P5'],
    stops: 'Other circuits are switched back on, the wrong one among them, and nobody tests again.',
    report: 'Safety alert 78 of a group-training company, 2018 (egt.net.au)',
  },
  reEnergized: {
    serves: ['P5', 'P11', 'P7'],
    stops: 'A source comes back by another hand while everybody believes it off.',
  },
  moved: {
    serves: ['P1'],
    stops: 'A machine that was pulled out slips off the prop that was shaken before.',
  },
  instrumentDoubt: {
    serves: ['P6', 'P5'],
    stops: 'A meter that was dropped shows zero on a live circuit.',
  },
  joined: {
    serves: ['P3', 'P1'],
    stops: 'A helper comes in after the roll call and is not counted.',
  },
  parked: {
    serves: ['P5', 'P10'],
    stops: 'A week later somebody goes on with a proof from the last visit.',
  },
  resumed: {
    serves: ['P5'],
    stops: 'A job is taken up again as if nothing could have changed.',
  },
  handedOver: {
    serves: ['P5', 'P4'],
    stops: 'The second technician relies on what only the first one saw.',
  },
  windowOpened: {
    serves: ['P5'],
    stops: 'After a live measurement the hands go back on the strength of the old proof.',
  },
};

/** What a step asks for by itself is told by its kind: it needs a fact, wear, or people. */
function guardOf(gate: string): Guard {
  const own = INTERLOCK_GUARDS[gate];
  if (own) return own;
  const kind = gate.endsWith(' wants people')
    ? 'people'
    : gate.endsWith(' bare')
      ? 'wear'
      : 'needs';
  return INTERLOCK_GUARDS[kind] as Guard;
}

export interface NamedGuard extends Guard {
  readonly gate: string;
  /** A standing rule, a row of the lapse table, or what a step of this checklist asks for. */
  readonly kind: 'standing' | 'lapse' | 'own';
}

/** Every gate and lapse of a plan with what it is for. */
export function guardsOf(plan: Plan): readonly NamedGuard[] {
  const standing = new Set(INTERLOCKS.map(({ id }) => id));
  const gates = gatesOf(plan).map((gate): NamedGuard => {
    return { gate, kind: standing.has(gate) ? 'standing' : 'own', ...guardOf(gate) };
  });
  const lapses = Object.entries(LAPSE_GUARDS).map(([gate, guard]): NamedGuard => {
    return { gate, kind: 'lapse', ...guard };
  });
  return [...gates, ...lapses];
}
