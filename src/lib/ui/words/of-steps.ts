import type { Phase, SignalWord } from '#lib/core/checklist/model.ts';
import type { StepState } from '#lib/core/job/view-types.ts';
import * as m from '../paraglide/messages.js';

export const signalWord: Readonly<Record<SignalWord, () => string>> = {
  danger: m.signal_danger,
  warning: m.signal_warning,
  caution: m.signal_caution,
  notice: m.signal_notice,
};

export const phaseName: Readonly<Record<Phase, () => string>> = {
  arrive: m.phase_arrive,
  isolate: m.phase_isolate,
  open: m.phase_open,
  work: m.phase_work,
  refit: m.phase_refit,
  restore: m.phase_restore,
  finish: m.phase_finish,
};

export const stepStateName: Readonly<Record<StepState, () => string>> = {
  todo: m.step_todo,
  part: m.step_part,
  done: m.step_done,
  lapsed: m.step_lapsed,
  spent: m.step_spent,
  notDone: m.step_not_done,
  notApplicable: m.step_not_applicable,
};
