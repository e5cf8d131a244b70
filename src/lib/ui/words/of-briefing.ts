/** What each picture of a briefing says. */
import type { BriefKind } from '../step/briefing.ts';
import type { Language } from '../face.svelte.ts';
import * as m from '../paraglide/messages.js';

type Says = (inputs?: object, options?: { locale?: Language }) => string;

export const briefSays: Readonly<Record<BriefKind, Says>> = {
  electrical: m.brief_electrical,
  charge: m.brief_charge,
  thermal: m.brief_thermal,
  motion: m.brief_motion,
  spring: m.brief_spring,
  gravity: m.brief_gravity,
  pressure: m.brief_pressure,
  gas: m.brief_gas,
  water: m.brief_water,
  sharp: m.brief_sharp,
  lock: m.brief_lock,
  test: m.brief_test,
  discharge: m.brief_discharge,
  prop: m.brief_prop,
  reseat: m.brief_reseat,
  stop: m.brief_stop,
};
