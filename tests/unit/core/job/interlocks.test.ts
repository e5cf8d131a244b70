import { describe, expect, test } from 'vitest';
import { INTERLOCKS } from '#lib/core/job/interlocks.ts';
import { refused, when } from '../../../support/job-builder.ts';
import { againAfter } from '../../../support/refusal-case.ts';
import { INTERLOCK_CASES } from '../../../support/refusal-cases.ts';

describe.each(INTERLOCKS.map((lock) => lock.id))('the interlock %s', (id) => {
  const own = INTERLOCK_CASES.filter((each) => each.interlock === id);

  test('has a case', () => {
    expect(own.length).toBeGreaterThan(0);
  });

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
