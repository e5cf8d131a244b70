/** The state of an energy in the words of its kind. */
import type { SourceKind } from '#lib/core/checklist/model.ts';
import type { SourceView } from '#lib/core/job/view-types.ts';
import * as m from '../paraglide/messages.js';
import { timeOfDay } from './of-time.ts';

const stored: Readonly<Record<SourceKind, () => string>> = {
  electrical: m.stored_electrical,
  charge: m.stored_charge,
  thermal: m.stored_thermal,
  motion: m.stored_motion,
  spring: m.stored_spring,
  gravity: m.stored_gravity,
  pressure: m.stored_pressure,
  gas: m.stored_gas,
  water: m.stored_water,
  sharp: m.stored_sharp,
};

const released: Readonly<Record<SourceKind, () => string>> = {
  electrical: m.released_electrical,
  charge: m.released_charge,
  thermal: m.released_thermal,
  motion: m.released_motion,
  spring: m.released_spring,
  gravity: m.released_gravity,
  pressure: m.released_pressure,
  gas: m.released_gas,
  water: m.released_water,
  sharp: m.released_sharp,
};

/** For a source that is cut at isolation points. */
export function sourceState(source: SourceView): string {
  const electric = source.kind === 'electrical';
  switch (source.state) {
    case 'live':
      if (source.points.some(({ position }) => position === 'open')) return m.state_partly();
      return electric ? m.state_live() : m.state_on();
    case 'unknown':
      return m.state_unknown();
    case 'cut':
      return m.state_cut();
    case 'held':
      return m.state_held();
    case 'dead':
      return electric ? m.state_dead() : m.state_shut();
    case 'window':
      return m.state_window();
    case 'stored':
    case 'released':
      return storedState(source);
  }
}

/** What the state rests on, beside it in small. */
export function sourceNote(source: SourceView): string | undefined {
  if (source.state === 'unknown') return m.state_note_unknown();
  if (source.state === 'dead' && source.provedAt !== undefined)
    return m.state_note_proved({ time: timeOfDay(source.provedAt) });
  return undefined;
}

/** For an energy without isolation points. */
export function storedState(source: SourceView): string {
  const gone = source.state === 'released' || source.state === 'dead';
  return (gone ? released : stored)[source.kind]();
}
