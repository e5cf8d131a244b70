/**
 * What can go wrong on the device, as values.
 *
 * Each carries a code for programs and one sentence or more for the person: what happened, that
 * nothing was lost, what to do.
 */

/** The closed set of codes. */
export type TroubleCode =
  | 'no-store'
  | 'blocked'
  | 'outdated'
  | 'lost'
  | 'full'
  | 'photo-full'
  | 'moved'
  | 'elsewhere'
  | 'pen-passed'
  | 'not-ended'
  | 'damaged'
  | 'unknown-job'
  | 'unknown-checklist'
  | 'bad-checklist'
  | 'no-key'
  | 'no-crypto'
  | 'pin-needed'
  | 'photo-unreadable'
  | 'photo-too-large'
  | 'photo-missing'
  | 'camera-denied'
  | 'camera-absent'
  | 'camera-busy'
  | 'not-recordable'
  | 'not-exported'
  | 'not-a-record'
  | 'server-away'
  | 'server-refused';

export interface Trouble {
  readonly code: TroubleCode;
  readonly says: string;
}

export type Result<T> =
  { readonly ok: true; readonly value: T } | { readonly ok: false; readonly trouble: Trouble };

export function done<T>(value: T): Result<T> {
  return { ok: true, value };
}

export function failed(
  code: TroubleCode,
  says: string,
): { readonly ok: false; readonly trouble: Trouble } {
  return { ok: false, trouble: { code, says } };
}

/** The sentences of the troubles that always read the same. */
export const SAYS = {
  'no-store':
    'This browser does not let the page keep anything (a private window, or storage switched off), so no job can be recorded here. Nothing was written. Open Stillwire in an ordinary window, or allow storage for this site.',
  blocked:
    'An older copy of this page is still open in another tab or window and holds the records. Nothing was lost. Close or reload that tab, then try again here.',
  outdated:
    'A newer version of the program has taken over the records in another tab. Everything shown here is stored. Reload this page to go on.',
  lost: 'The browser lost its connection to its own storage, and opening it again did not help. What was shown as recorded is stored; the last tap is not. Reload the page and look at the last step before you do it again.',
  full: 'The device is full: this could not be stored, so it is not recorded. Everything recorded before is still there. Free some space on the device, then do it again.',
  'photo-full':
    'The device is full: the photo could not be stored, so the step is not recorded. Everything recorded before is still there, and entries without photos still go through. Free some space on the device, then take the photo again.',
  moved:
    'Another tab or window added to this job first, so this was not recorded. Nothing was lost. The job is shown as it now stands: look at it, and do this again if it still applies.',
  elsewhere:
    'This job is being written in another tab or window. Nothing was lost. Go on there, or take over here.',
  'pen-passed':
    'This job was passed to another device, and only one may write. Nothing was lost and nothing was written. Go on there, bring its file back here, or take the pen back here.',
  'not-ended':
    'This job is still under way, so nothing of it is erased yet: somebody may need it. Nothing was written. End the job first.',
  'no-crypto':
    'This browser cannot make or use Ed25519 signing keys, so nothing could be signed. Nothing was written. Use a current browser, over https or on this machine itself.',
} as const satisfies Partial<Record<TroubleCode, string>>;

export function standing(code: keyof typeof SAYS): {
  readonly ok: false;
  readonly trouble: Trouble;
} {
  return failed(code, SAYS[code]);
}
