import type { JobStatus } from '#lib/core/job/view-types.ts';
import * as m from '../paraglide/messages.js';

export const statusName: Readonly<Record<JobStatus, () => string>> = {
  notOpened: m.status_not_opened,
  atWork: m.status_at_work,
  downTools: m.status_down_tools,
  parkedUsable: m.status_parked_usable,
  parkedShut: m.status_parked_shut,
  handedBack: m.status_handed_back,
  refused: m.status_refused,
  evidenceHold: m.status_evidence_hold,
};

export const statusSays: Readonly<Record<JobStatus, () => string>> = {
  notOpened: m.status_not_opened_says,
  atWork: m.status_at_work_says,
  downTools: m.status_down_tools_says,
  parkedUsable: m.status_parked_usable_says,
  parkedShut: m.status_parked_shut_says,
  handedBack: m.status_handed_back_says,
  refused: m.status_refused_says,
  evidenceHold: m.status_evidence_hold_says,
};
