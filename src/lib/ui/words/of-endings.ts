/** What ended a fact, in the reader's language; the engine says it in English. */
import type { ENDED_BY } from '#lib/core/job/draft.ts';
import * as m from '../paraglide/messages.js';

type Ending = (typeof ENDED_BY)[keyof typeof ENDED_BY];

const byLapse: Readonly<Record<Ending, () => string>> = {
  'its time ran out': m.ended_time,
  'the machine was out of sight': m.ended_left_sight,
  'the panel was touched': m.ended_panel_touched,
  'the source came back': m.ended_re_energized,
  'the machine was moved': m.ended_moved,
  'the instrument is in doubt': m.ended_instrument_doubt,
  'somebody joined': m.ended_joined,
  'the job was parked': m.ended_parked,
  'the job was resumed': m.ended_resumed,
  'the job was handed over': m.ended_handed_over,
  'a live window was opened': m.ended_window_opened,
};

/** Endings that are no lapse of their own. */
const byAct: Readonly<Record<string, () => string>> = {
  'a lock came off': m.ended_lock_off,
  'taken off by its owner': m.ended_own_lock_off,
  'the case read live': m.ended_case_live,
  lapsed: m.ended_lapsed,
  'something was opened': m.ended_something_opened,
  restored: m.ended_restored,
  'a lock was taken off for its owner': m.ended_lock_for_owner,
  'work went on': m.ended_work_went_on,
  'tools went down': m.ended_tools_down,
  'the job went over to a newer revision': m.ended_rebased,
  'somebody left': m.ended_left,
  'opened again': m.ended_opened_again,
  'locked again': m.ended_locked_again,
  'cut again': m.ended_cut_again,
  closed: m.ended_closed,
  'a step was corrected': m.ended_step_corrected,
  corrected: m.ended_corrected,
  'a reading showed it live': m.ended_reading_live,
};

export function endingSays(ended: string): string {
  const found: Readonly<Record<string, () => string>> = { ...byLapse, ...byAct };
  return found[ended]?.() ?? ended;
}
