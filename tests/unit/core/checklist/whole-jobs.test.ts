/** Every shipped checklist, driven through the engine from the opening to the hand-back. */
import { describe, expect, test } from 'vitest';
import { planOf } from '#lib/core/job/plan.ts';
import { PROPERTY_IDS, runMonitors } from '#lib/core/safety/index.ts';
import type { Checklist } from '#lib/core/checklist/model.ts';
import { checklistNames, checklistOf, checklistText } from '../../../support/checklist-texts.ts';
import { accepted, and, close, open, unopened, walk, when } from '../../../support/job-builder.ts';

/** As many ways as the longest choice has options: each option of each choice is taken at least once. */
function waysThrough(checklist: Checklist): Record<string, string>[] {
  const choices = checklist.steps.filter((step) => step.do === 'choose');
  const most = Math.max(1, ...choices.map(({ options }) => Object.keys(options).length));
  return Array.from({ length: most }, (_, turn) =>
    Object.fromEntries(
      choices.map(({ id, options }) => {
        const all = Object.keys(options);
        return [id, all[turn % all.length] ?? ''];
      }),
    ),
  );
}

function wholeJob(checklist: Checklist, options: Record<string, string>) {
  const lead = { id: 'mara', name: 'Mara Lindqvist', competence: checklist.competence };
  const begun = accepted(when(unopened(planOf(checklist)), open([lead])));
  return and(walk(begun, undefined, { options }), close);
}

describe.each(checklistNames('shipped'))('%s', (name) => {
  const checklist = checklistOf(checklistText(name, 'shipped'));

  test.each(waysThrough(checklist))('is handed back, every property holding (%j)', (options) => {
    const { state, events } = wholeJob(checklist, options);
    expect(state.status).toBe('handedBack');

    const verdicts = runMonitors(checklist, events);
    expect(Object.keys(verdicts)).toEqual([...PROPERTY_IDS]);
    const violations = Object.values(verdicts).flatMap((verdict) => verdict.violations);
    expect(violations).toEqual([]);

    const done = new Set(
      events.flatMap(({ type, body }) => (type === 'step.done' ? [body.step] : [])),
    );
    for (const { id, when: hangs } of checklist.steps) {
      if (hangs === undefined) expect(done, id).toContain(id);
    }
  });
});
