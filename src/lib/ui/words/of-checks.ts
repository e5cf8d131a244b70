/** The checks of a bag in plain words: what each is about, and what it would have caught. */
import type { CheckId, SafetyCheckId, Status } from '#lib/core/bag/report.ts';
import type { Conclusion } from '#lib/core/bag/summary.ts';
import * as m from '../paraglide/messages.js';

export interface CheckWords {
  readonly name: () => string;
  readonly caught: () => string;
}

const safety: Readonly<Record<SafetyCheckId, CheckWords>> = {
  'safety.P1': { name: m.check_p1, caught: m.check_p1_caught },
  'safety.P2': { name: m.check_p2, caught: m.check_p2_caught },
  'safety.P3': { name: m.check_p3, caught: m.check_p3_caught },
  'safety.P4': { name: m.check_p4, caught: m.check_p4_caught },
  'safety.P5': { name: m.check_p5, caught: m.check_p5_caught },
  'safety.P6': { name: m.check_p6, caught: m.check_p6_caught },
  'safety.P7': { name: m.check_p7, caught: m.check_p7_caught },
  'safety.P8': { name: m.check_p8, caught: m.check_p8_caught },
  'safety.P9': { name: m.check_p9, caught: m.check_p9_caught },
  'safety.P10': { name: m.check_p10, caught: m.check_p10_caught },
  'safety.P11': { name: m.check_p11, caught: m.check_p11_caught },
  'safety.P12': { name: m.check_p12, caught: m.check_p12_caught },
};

export const checkWords: Readonly<Record<CheckId, CheckWords>> = {
  archive: { name: m.check_archive, caught: m.check_archive_caught },
  bag: { name: m.check_bag, caught: m.check_bag_caught },
  manifest: { name: m.check_manifest, caught: m.check_manifest_caught },
  keys: { name: m.check_keys, caught: m.check_keys_caught },
  'record.form': { name: m.check_record_form, caught: m.check_record_form_caught },
  'record.order': { name: m.check_record_order, caught: m.check_record_order_caught },
  'record.chain': { name: m.check_record_chain, caught: m.check_record_chain_caught },
  'record.signatures': {
    name: m.check_record_signatures,
    caught: m.check_record_signatures_caught,
  },
  'record.clock': { name: m.check_record_clock, caught: m.check_record_clock_caught },
  'record.end': { name: m.check_record_end, caught: m.check_record_end_caught },
  checklist: { name: m.check_checklist, caught: m.check_checklist_caught },
  photos: { name: m.check_photos, caught: m.check_photos_caught },
  disclosures: { name: m.check_disclosures, caught: m.check_disclosures_caught },
  receipts: { name: m.check_receipts, caught: m.check_receipts_caught },
  timestamps: { name: m.check_timestamps, caught: m.check_timestamps_caught },
  ...safety,
  front: { name: m.check_front, caught: m.check_front_caught },
};

/** What the check of one safety property is there to catch; `property` such as `P4`. */
export function safetyCaught(property: string): (() => string) | undefined {
  return Object.entries(safety).find(([id]) => id === `safety.${property}`)?.[1].caught;
}

export const checkStatus: Readonly<Record<Status, () => string>> = {
  held: m.verify_held,
  failed: m.verify_failed,
  notRun: m.verify_not_run,
};

export const conclusionSays: Readonly<Record<Conclusion, () => string>> = {
  holds: m.verify_holds,
  endNotProven: m.verify_end,
  jobBroke: m.verify_broke,
  fails: m.verify_fails,
};
