import { expect, test } from 'vitest';
import { outlineOf } from '#lib/core/checklist/outline.ts';
import { checklistOf, kilnText } from '../../../support/checklist-texts.ts';

test('an outline holds the sources, the ends and what each step waits for', () => {
  const outline = outlineOf(checklistOf(kilnText), 'ab'.repeat(32));
  expect(outline).toMatchObject({
    ok: true,
    id: 'glass-kiln-element',
    sha256: 'ab'.repeat(32),
    sources: {
      mains: {
        kind: 'electrical',
        points: { breaker: { control: 'lock' }, plug: { control: 'exclusive' } },
        pairs: ['L1-L2', 'L1-N', 'L2-N', 'L1-G', 'L2-G'],
        release: 'none',
      },
      heat: { points: {}, pairs: [], release: 'cool' },
      smoothing: { release: 'discharge', nominal: '325 V' },
    },
    ends: { 'rear-cover': { kind: 'cover' }, 'lid-prop': { kind: 'prop' } },
    toReview: [],
  });
  expect(outline.steps).toHaveLength(28);
  expect(outline.steps.find(({ id }) => id === 'unplug')).toEqual({
    id: 'unplug',
    phase: 'isolate',
    do: 'isolate',
    say: 'Pull the plug by its body and keep it in your sight.',
    needs: ['gloves', 'slack'],
    exposes: [],
    source: 'mains',
    point: 'plug',
  });
  expect(outline.steps.find(({ id }) => id === 'fit')).toMatchObject({
    when: { verdict: 'replace' },
    exposes: ['mains', 'smoothing', 'heat'],
  });
});
