/** Gates in plain words, and the accident that each would have stopped. */
import type { Lapse } from '#lib/core/checklist/model.ts';
import * as m from '../paraglide/messages.js';

export interface GateWords {
  readonly name: () => string;
  readonly stops: () => string;
}

/** By the id of the standing interlock. */
export const gateWords: Readonly<Record<string, GateWords>> = {
  window: { name: m.gate_window, stops: m.guard_window },
  order: { name: m.gate_order, stops: m.guard_order },
  once: { name: m.gate_once, stops: m.guard_once },
  'due-order': { name: m.gate_due_order, stops: m.guard_due_order },
  needs: { name: m.gate_needs, stops: m.guard_needs },
  people: { name: m.gate_people, stops: m.guard_people },
  competence: { name: m.gate_competence, stops: m.guard_competence },
  case: { name: m.gate_case, stops: m.guard_case },
  dead: { name: m.gate_dead, stops: m.guard_dead },
  props: { name: m.gate_props, stops: m.guard_props },
  wear: { name: m.gate_wear, stops: m.guard_wear },
  briefing: { name: m.gate_briefing, stops: m.guard_briefing },
  find: { name: m.gate_find, stops: m.guard_find },
  'lock-on-cut': { name: m.gate_lock_on_cut, stops: m.guard_lock_on_cut },
  wait: { name: m.gate_wait, stops: m.guard_wait },
  'prove-cut': { name: m.gate_prove_cut, stops: m.guard_prove_cut },
  counted: { name: m.gate_counted, stops: m.guard_counted },
  'dead-for-ohms': { name: m.gate_dead_for_ohms, stops: m.guard_dead_for_ohms },
  'part-off': { name: m.gate_part_off, stops: m.guard_part_off },
  ends: { name: m.gate_ends, stops: m.guard_ends },
  'nothing-open': { name: m.gate_nothing_open, stops: m.guard_nothing_open },
  'own-lock': { name: m.gate_own_lock, stops: m.guard_own_lock },
  'roll-call': { name: m.gate_roll_call, stops: m.guard_roll_call },
  'locks-off': { name: m.gate_locks_off, stops: m.guard_locks_off },
  'restore-order': { name: m.gate_restore_order, stops: m.guard_restore_order },
  'window-from-cut': { name: m.gate_window_from_cut, stops: m.guard_window_from_cut },
  wet: { name: m.gate_wet, stops: m.guard_wet },
  'left-whole': { name: m.gate_left_whole, stops: m.guard_left_whole },
};

/** By the row of the lapse table. */
export const lapseWords: Readonly<Record<Lapse, GateWords>> = {
  time: { name: m.lapse_time, stops: m.guard_lapse_time },
  leftSight: { name: m.lapse_left_sight, stops: m.guard_lapse_left_sight },
  panelTouched: { name: m.lapse_panel_touched, stops: m.guard_lapse_panel_touched },
  reEnergized: { name: m.lapse_re_energized, stops: m.guard_lapse_re_energized },
  moved: { name: m.lapse_moved, stops: m.guard_lapse_moved },
  instrumentDoubt: { name: m.lapse_instrument_doubt, stops: m.guard_lapse_instrument_doubt },
  joined: { name: m.lapse_joined, stops: m.guard_lapse_joined },
  parked: { name: m.lapse_parked, stops: m.guard_lapse_parked },
  resumed: { name: m.lapse_resumed, stops: m.guard_lapse_resumed },
  handedOver: { name: m.lapse_handed_over, stops: m.guard_lapse_handed_over },
  windowOpened: { name: m.lapse_window_opened, stops: m.guard_lapse_window_opened },
};
