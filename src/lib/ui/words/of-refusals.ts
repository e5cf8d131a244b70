/** Refusals in the reader's language, with what they name called as the checklist and the job call it. */
import type { Refusal } from '#lib/core/job/refusal.ts';
import type { WordArgs, WordKey } from '#lib/core/job/words.ts';
import type { Desk } from '../desk.ts';
import { stepOf } from '../desk.ts';
import * as m from '../paraglide/messages.js';
import { competenceSays } from './of-competence.ts';
import { endingSays } from './of-endings.ts';
import { pairName } from './of-pairs.ts';
import { pointMeans } from './of-points.ts';
import { unitFace } from './of-units.ts';

type Sentence = (args: never) => string;

const sentences: Readonly<Record<WordKey, Sentence>> = {
  notOpened: m.refusal_not_opened,
  alreadyOpen: m.refusal_already_open,
  ended: m.refusal_ended,
  toolsDown: m.refusal_tools_down,
  parked: m.refusal_parked,
  notParked: m.refusal_not_parked,
  notHere: m.refusal_not_here,
  alreadyHere: m.refusal_already_here,
  unknownStep: m.refusal_unknown_step,
  unknownSource: m.refusal_unknown_source,
  unknownInstrument: m.refusal_unknown_instrument,
  order: m.refusal_order,
  alreadyDone: m.refusal_already_done,
  alreadyMine: m.refusal_already_mine,
  notApplicable: m.refusal_not_applicable,
  need: m.refusal_need,
  needFailed: m.refusal_need_failed,
  supplyUnknown: m.refusal_supply_unknown,
  supplyBad: m.refusal_supply_bad,
  caseUnknown: m.refusal_case_unknown,
  caseLive: m.refusal_case_live,
  pointClosed: m.refusal_point_closed,
  pointUnknown: m.refusal_point_unknown,
  notProven: m.refusal_not_proven,
  proofStale: m.refusal_proof_stale,
  ownLock: m.refusal_own_lock,
  lockUnsure: m.refusal_lock_unsure,
  noHolder: m.refusal_no_holder,
  plugShared: m.refusal_plug_shared,
  stored: m.refusal_stored,
  storedStale: m.refusal_stored_stale,
  residual: m.refusal_residual,
  propUnsure: m.refusal_prop_unsure,
  wait: m.refusal_wait,
  waitNotStarted: m.refusal_wait_not_started,
  mustWear: m.refusal_must_wear,
  mustNotWear: m.refusal_must_not_wear,
  brief: m.refusal_brief,
  fewPeople: m.refusal_few_people,
  competence: m.refusal_competence,
  sourcesUncounted: m.refusal_sources_uncounted,
  sourcesMore: m.refusal_sources_more,
  controlNotIsolator: m.refusal_control_not_isolator,
  operatedOther: m.refusal_operated_other,
  findFirst: m.refusal_find_first,
  lockNumber: m.refusal_lock_number,
  lockUsed: m.refusal_lock_used,
  tagNotEnough: m.refusal_tag_not_enough,
  noLockHere: m.refusal_no_lock_here,
  locksLeft: m.refusal_locks_left,
  clearStale: m.refusal_clear_stale,
  rollCallMissing: m.refusal_roll_call_missing,
  rollCallStranger: m.refusal_roll_call_stranger,
  openConnector: m.refusal_open_connector,
  openEnd: m.refusal_open_end,
  noConnector: m.refusal_no_connector,
  connectorClosed: m.refusal_connector_closed,
  connectorKnown: m.refusal_connector_known,
  nothingOff: m.refusal_nothing_off,
  endOpen: m.refusal_end_open,
  endClosed: m.refusal_end_closed,
  restoreOrder: m.refusal_restore_order,
  restoreCut: m.refusal_restore_cut,
  isolateAgain: m.refusal_isolate_again,
  windowOpen: m.refusal_window_open,
  windowNot: m.refusal_window_not,
  windowBarred: m.refusal_window_barred,
  windowWet: m.refusal_window_wet,
  windowReadBack: m.refusal_window_read_back,
  windowReason: m.refusal_window_reason,
  windowOnly: m.refusal_window_only,
  windowOver: m.refusal_window_over,
  deadForReading: m.refusal_dead_for_reading,
  instrumentMissing: m.refusal_instrument_missing,
  instrumentDue: m.refusal_instrument_due,
  instrumentFit: m.refusal_instrument_fit,
  instrumentDoubted: m.refusal_instrument_doubted,
  meterBefore: m.refusal_meter_before,
  meterAfter: m.refusal_meter_after,
  meterCheck: m.refusal_meter_check,
  pairMissing: m.refusal_pair_missing,
  pairLive: m.refusal_pair_live,
  caseReads: m.refusal_case_reads,
  valueMissing: m.refusal_value_missing,
  valueBad: m.refusal_value_bad,
  contactsBad: m.refusal_contacts_bad,
  optionUnknown: m.refusal_option_unknown,
  countBad: m.refusal_count_bad,
  connectorsMissing: m.refusal_connectors_missing,
  notOptional: m.refusal_not_optional,
  whyMissing: m.refusal_why_missing,
  correctNothing: m.refusal_correct_nothing,
  correctPhase: m.refusal_correct_phase,
  correctOne: m.refusal_correct_one,
  correctOpen: m.refusal_correct_open,
  correctAfter: m.refusal_correct_after,
  correctClear: m.refusal_correct_clear,
  correctLock: m.refusal_correct_lock,
  secondPerson: m.refusal_second_person,
  leaveLast: m.refusal_leave_last,
  leaveLocks: m.refusal_leave_locks,
  leaveWindow: m.refusal_leave_window,
  parkTold: m.refusal_park_told,
  parkOwner: m.refusal_park_owner,
  parkUntil: m.refusal_park_until,
  parkIsolated: m.refusal_park_isolated,
  parkControl: m.refusal_park_control,
  parkLeft: m.refusal_park_left,
  parkClosedPoint: m.refusal_park_closed_point,
  parkCase: m.refusal_park_case,
  handTo: m.refusal_hand_to,
  handLock: m.refusal_hand_lock,
  rebaseBad: m.refusal_rebase_bad,
  rebaseLong: m.refusal_rebase_long,
  rebaseDone: m.refusal_rebase_done,
  rebaseStands: m.refusal_rebase_stands,
  removeOwner: m.refusal_remove_owner,
  removeHere: m.refusal_remove_here,
  removeFacts: m.refusal_remove_facts,
  removeTwo: m.refusal_remove_two,
  refuseLeft: m.refusal_refuse_left,
  closeStep: m.refusal_close_step,
  wallText: m.refusal_wall_text,
  monoBack: m.refusal_mono_back,
  amendEarly: m.refusal_amend_early,
  lapseUnknown: m.refusal_lapse_unknown,
  lapseSource: m.refusal_lapse_source,
  notTogether: m.refusal_not_together,
};

type Words = Pick<Desk, 'checklist' | 'nameOf' | 'inWords'>;

/** One sentence: what is missing and what opens it. */
export function refusalSays(refusal: Refusal, desk: Words): string {
  const sentence = sentences[refusal.key] as ((args: WordArgs) => string) | undefined;
  return sentence === undefined ? refusal.says : sentence(named(refusal.args, desk));
}

/** The engine names things by ids and by the checklist's own labels; people know them in their words. */
function named(args: WordArgs, desk: Words): WordArgs {
  const result: Record<string, string | number> = {};
  for (const [key, value] of Object.entries(args)) result[key] = inWords(key, value, desk);
  return result;
}

function inWords(key: string, value: string | number, desk: Words): string | number {
  if (typeof value === 'number') return value;
  switch (key) {
    case 'step':
    case 'window':
    case 'later':
      return stepOf(desk.checklist, value)?.say.replace(/\.$/u, '') ?? value;
    case 'person':
    case 'owner':
      return desk.nameOf(value);
    case 'pair':
      return pairName({ id: value, kind: 'pair' });
    case 'ended':
      return endingSays(value);
    case 'unit':
      return unitFace(value);
    case 'missing':
      return competenceSays(value.split(', '));
    case 'items':
      return value
        .split(', ')
        .map((item) => desk.inWords(item))
        .join(', ');
    case 'by':
      return (pointMeans as Readonly<Record<string, () => string>>)[value]?.() ?? value;
    default:
      return desk.inWords(value);
  }
}
