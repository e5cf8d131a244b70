/** `safety.P1` … `safety.P12`: does the recorded job keep the properties? Judged without the engine. */
import { PROPERTIES, runMonitors } from '../../safety/index.ts';
import type { PropertyId } from '../../safety/index.ts';
import { allEvents } from '../examined.ts';
import type { Examined } from '../examined.ts';
import { failure, judged, notRun, SAFETY_CHECKS } from '../report.ts';
import type { SafetyCheckId, Verdict } from '../report.ts';
import { lineAt } from './record.ts';

export function checkSafety(bag: Examined): ReadonlyMap<SafetyCheckId, Verdict> {
  const events = allEvents(bag);
  if (events === null || !bag.checklist.ok) {
    const says = 'Not run: the record or its checklist could not be read.';
    return new Map(SAFETY_CHECKS.map((id) => [id, notRun(says)]));
  }
  const verdicts = runMonitors(bag.checklist.value, events);
  return new Map(
    SAFETY_CHECKS.map((id) => {
      const property = id.slice('safety.'.length) as PropertyId;
      const findings = verdicts[property].violations.map(({ at, says }) =>
        failure(`broke-${property}`, says, lineAt(at)),
      );
      const sentence = PROPERTIES.find((one) => one.id === property)?.says ?? '';
      return [id, judged(findings, `Kept from the first entry to the last: ${sentence}`)];
    }),
  );
}
