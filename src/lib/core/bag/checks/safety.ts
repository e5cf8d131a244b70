/** `safety.P1` … `safety.P12`: does the recorded job keep the properties? Judged without the engine. */
import type { Checklist } from '../../checklist/model.ts';
import type { JobEvent } from '../../job/events.ts';
import { PROPERTIES, runMonitors } from '../../safety/index.ts';
import type { PropertyId } from '../../safety/index.ts';
import type { Examined } from '../examined.ts';
import { failure, judged, notRun, SAFETY_CHECKS } from '../report.ts';
import type { SafetyCheckId, Verdict } from '../report.ts';
import { lineAt } from './record.ts';

export function checkSafety(bag: Examined): ReadonlyMap<SafetyCheckId, Verdict> {
  const events = bag.story;
  if (events === null || !bag.checklist.ok) {
    const says = 'Not run: the record or its checklist could not be read.';
    return new Map(SAFETY_CHECKS.map((id) => [id, notRun(says)]));
  }
  const verdicts = monitored(bag.checklist.value, events);
  return new Map(
    SAFETY_CHECKS.map((id) => {
      const property = id.slice('safety.'.length) as PropertyId;
      if (typeof verdicts === 'string') return [id, judged([failure('unjudged', verdicts)], '')];
      const findings = verdicts[property].violations.map(({ at, says }) =>
        failure(`broke-${property}`, sentence(says), lineAt(at)),
      );
      const words = PROPERTIES.find((one) => one.id === property)?.says ?? '';
      return [id, judged(findings, `Kept from the first entry to the last: ${words}`)];
    }),
  );
}

/**
 * Untrusted: events that no engine may ever have made. A monitor that cannot follow them has not shown
 * that the property was kept, so the check fails rather than breaks.
 */
function monitored(
  checklist: Checklist,
  events: readonly JobEvent[],
): ReturnType<typeof runMonitors> | string {
  try {
    return runMonitors(checklist, events);
  } catch (error) {
    const detail = error instanceof Error ? error.message : String(error);
    return `The monitors of the safety properties could not follow this record: ${detail}.`;
  }
}

function sentence(says: string): string {
  return `${says.charAt(0).toUpperCase()}${says.slice(1)}${/[.!?]$/.test(says) ? '' : '.'}`;
}
