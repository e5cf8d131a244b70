/**
 * Every standing interlock refuses what it is for. The cases name the interlocks, not the engine's own list:
 * one that is gone from the engine leaves its cases behind, and they fail. That each has a case is held in
 * `tests/tidy/mutation.test.ts`, apart, so that what is noticed here is what it does.
 */
import { describe, expect, test } from 'vitest';
import { refused, when } from '../../../support/job-builder.ts';
import { againAfter } from '../../../support/refusal-case.ts';
import { INTERLOCK_CASES } from '../../../support/refusal-cases.ts';

const named = [...new Set(INTERLOCK_CASES.flatMap(({ interlock }) => interlock ?? []))];

describe.each(named)('the interlock %s', (id) => {
  const own = INTERLOCK_CASES.filter((each) => each.interlock === id);

  test.each(own)('refuses $name', (each) => {
    const job = each.job();
    const turn = when(job, each.said(job));
    refused(turn, each.code, each.says);
    if (!each.clears) return;
    const said = turn.decision.refusals.filter(
      ({ code, says }) => code === each.code && each.says.test(says),
    );
    expect(said.flatMap((one) => one.clears)).toEqual(each.clears);
  });

  const opening = own.filter((each) => each.opens !== undefined);
  test.each(opening)('opens after $name', (each) => {
    againAfter(each, when(each.job(), each.said(each.job())).job);
  });
});
