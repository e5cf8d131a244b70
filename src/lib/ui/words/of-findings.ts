/** What a verifier found, in the reader's words: a sentence for every code, and the place in a file. */
import type { Finding, FixedFindingCode } from '#lib/core/bag/report.ts';
import * as m from '../paraglide/messages.js';
import { safetyCaught } from './of-checks.ts';

const sentences: Readonly<Record<FixedFindingCode, () => string>> = {
  'acted-later': m.find_acted_later,
  'archive-bad': m.find_archive_bad,
  'archive-content': m.find_archive_content,
  'archive-folder': m.find_archive_folder,
  'archive-long': m.find_archive_long,
  'archive-repacked': m.find_archive_repacked,
  'bag-declaration': m.find_bag_declaration,
  'bag-demonstration': m.find_bag_demonstration,
  'bag-empty': m.find_bag_empty,
  'bag-fetch': m.find_bag_fetch,
  'bag-info': m.find_bag_info,
  'bag-manifest-missing': m.find_bag_manifest_missing,
  'bag-other-job': m.find_bag_other_job,
  'bag-other-record': m.find_bag_other_record,
  'bag-size': m.find_bag_size,
  'checklist-form': m.find_checklist_form,
  'checklist-name': m.find_checklist_name,
  'checklist-other': m.find_checklist_other,
  'clock-ahead': m.find_clock_ahead,
  'clock-office': m.find_clock_office,
  'clock-back': m.find_clock_back,
  'clock-restart': m.find_clock_restart,
  'clock-running-back': m.find_clock_running_back,
  demonstration: m.find_demonstration,
  'disclosure-erased': m.find_disclosure_erased,
  'disclosure-form': m.find_disclosure_form,
  'disclosure-other': m.find_disclosure_other,
  'disclosure-twice': m.find_disclosure_twice,
  'end-not-proven': m.find_end_not_proven,
  erased: m.find_erased,
  'erased-nothing': m.find_erased_nothing,
  'file-changed': m.find_file_changed,
  'file-missing': m.find_file_missing,
  'file-strange': m.find_file_strange,
  'file-unlisted': m.find_file_unlisted,
  'front-missing': m.find_front_missing,
  'front-other': m.find_front_other,
  'front-pdf': m.find_front_pdf,
  'front-strange': m.find_front_strange,
  'front-version': m.find_front_version,
  'job-number-time': m.find_job_number_time,
  'job-open': m.find_job_open,
  'joining-bad': m.find_joining_bad,
  'key-changed': m.find_key_changed,
  'key-other-person': m.find_key_other_person,
  'key-unknown': m.find_key_unknown,
  'key-untrusted': m.find_key_untrusted,
  'key-vouched': m.find_key_vouched,
  'keys-form': m.find_keys_form,
  'late-entry': m.find_late_entry,
  'manifest-form': m.find_manifest_form,
  'manifest-missing': m.find_manifest_missing,
  'manifest-none': m.find_manifest_none,
  'manifest-other': m.find_manifest_other,
  'manifest-scope': m.find_manifest_scope,
  'photo-blurred': m.find_photo_blurred,
  'photo-changed': m.find_photo_changed,
  'photo-erased': m.find_photo_erased,
  'photo-kept': m.find_photo_kept,
  'photo-missing': m.find_photo_missing,
  'photo-strange': m.find_photo_strange,
  'photo-withheld': m.find_photo_withheld,
  'rebase-other': m.find_rebase_other,
  rebased: m.find_rebased,
  'receipt-bad': m.find_receipt_bad,
  'receipt-beyond': m.find_receipt_beyond,
  'receipt-order': m.find_receipt_order,
  'record-cut': m.find_record_cut,
  'record-long': m.find_record_long,
  'record-missing': m.find_record_missing,
  'seal-bad': m.find_seal_bad,
  'seal-key-untrusted': m.find_seal_key_untrusted,
  'seal-other': m.find_seal_other,
  'seal-other-key': m.find_seal_other_key,
  'seen-shrinks': m.find_seen_shrinks,
  'shown-changed': m.find_shown_changed,
  'shown-form': m.find_shown_form,
  'shown-missing': m.find_shown_missing,
  'shown-steps': m.find_shown_steps,
  'shown-translation': m.find_shown_translation,
  'signature-bad': m.find_signature_bad,
  timestamp: m.find_timestamp,
  'timestamp-bad': m.find_timestamp_bad,
  'timestamp-of-nothing': m.find_timestamp_of_nothing,
  unjudged: m.find_unjudged,
  withheld: m.find_withheld,
};

const isFixed = (code: string): code is FixedFindingCode => Object.hasOwn(sentences, code);

/** One sentence; the figures stand in the verifier's own. */
export function findingSays({ code }: Pick<Finding, 'code'>): string {
  if (isFixed(code)) return sentences[code]();
  const property = /^broke-(P\d+)$/u.exec(code)?.[1];
  const caught = property === undefined ? undefined : safetyCaught(property);
  return caught === undefined ? m.find_entry() : m.find_broke({ what: caught() });
}

/** `data/record.jsonl line 12` as the reader says it; a file alone stays as it is. */
export function placeSays(where: string): string {
  const [, file, line] = /^(.+) line (\d+)$/u.exec(where) ?? [];
  return file === undefined || line === undefined ? where : m.find_line({ file, line });
}
