/**
 * The specification of safety: P1 to P12 as past-time monitors over a trace of events, written from
 * their sentences and from the checklist, independent of the engine. Nothing here reads `job` but
 * the shapes of its events.
 *
 * Where a sentence leaves room the stricter reading stands; each property's `explains` says which
 * one, and these hold for all:
 * - A person is present from the opening or from joining until leaving. Parking sends everyone
 *   away, and whoever resumes is back; whoever hands over has left.
 * - A refused try is no act; what it showed to be live, or what meter it showed to be wrong, is
 *   known from then on.
 * - A step that a lapse lists has ended, whatever the row of the table says. A lapse that names no
 *   source or no instrument means each that it could be.
 * - A correction leaves the worse of the two stories standing: nothing that was opened counts as
 *   closed, and a point that was corrected is neither isolated nor restored.
 * - A late entry counts where it stands in the trace.
 * - The running clock is followed across a restart only when the wall clock says that at most two
 *   minutes passed, forwards; waits never are.
 */
export {
  monitorOf,
  runMonitors,
  safetyKey,
  startSafety,
  stepSafety,
  type Monitor,
  type SafetyState,
  type Stepped,
  type Verdicts,
  type Violation,
} from './monitors.ts';
export { PROPERTIES } from './properties.ts';
export { PROPERTY_IDS, type Property, type PropertyId } from './property.ts';
