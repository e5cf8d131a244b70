import { describe, expect, test } from 'vitest';
import { REFUSAL_CODES, refusal } from '#lib/core/job/refusal.ts';
import { fill, WORDS } from '#lib/core/job/words.ts';
import { refused, when } from '../../../support/job-builder.ts';
import { againAfter } from '../../../support/refusal-case.ts';
import { ALL_CASES, COMMAND_CASES } from '../../../support/refusal-cases.ts';

describe('every code', () => {
  test('is reached by a case', () => {
    const reached = new Set(ALL_CASES.map((each) => each.code));
    expect(REFUSAL_CODES.filter((code) => !reached.has(code))).toEqual([]);
  });

  test.each(COMMAND_CASES)('$code: $name', (each) => {
    const job = each.job();
    const turn = when(job, each.said(job));
    const found = refused(turn, each.code, each.says);
    if (each.clears) expect(found.clears).toEqual(each.clears);
    if (each.opens && each.code !== 'bad-input') againAfter(each, turn.job);
  });
});

describe('a refusal', () => {
  test.each(ALL_CASES)('$code says one plain sentence: $name', (each) => {
    const job = each.job();
    const { refusals } = when(job, each.said(job)).decision;
    for (const { key, args, says, code } of refusals) {
      expect(says).toMatch(/^\S.*[.!]$/su);
      expect(says).not.toMatch(/undefined|\{|\}|\[object|NaN|“”/u);
      // A translation of the key with the same arguments says the same.
      expect(fill(WORDS[key], args)).toBe(says);
      expect(REFUSAL_CODES).toContain(code);
    }
    const sentences = refusals.map((each) => each.says);
    expect(new Set(sentences).size).toBe(sentences.length);
  });

  test('shows the name of an argument that is missing rather than nothing', () => {
    expect(refusal('order', 'order').says).toBe('“step” comes first.');
    expect(refusal('wait', 'wait', { source: 'Filter', seconds: 12 }, ['residual'])).toEqual({
      code: 'wait',
      key: 'wait',
      args: { source: 'Filter', seconds: 12 },
      says: '“Filter” needs 12 s more on the running clock before its residual counts.',
      clears: ['residual'],
    });
  });
});
