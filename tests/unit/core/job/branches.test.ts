import { expect, test } from 'vitest';
import { branching } from '#lib/core/job/branches.ts';
import { and, at, does, goodResult, kiln, ODE } from '../../../support/job-builder.ts';

const joined = and(at(kiln(), 'cover-off'), { command: 'join', person: ODE });

test('a lock and an open end that only the other knows of are named; nothing is where both agree', () => {
  const there = and(
    joined,
    does('breaker-lock', goodResult(joined, 'breaker-lock', 'ode'), 'ode'),
    does('cover-off', goodResult(joined, 'cover-off')),
  );
  const told = branching(joined.state, there.state);
  expect(told.locks).toMatchObject([{ owner: 'ode' }]);
  expect(branching(there.state, there.state)).toEqual({ locks: [], ends: [], live: [], cut: [] });
  expect(branching(there.state, joined.state).locks).toEqual([]);
});

test('a point that the other calls live is live, and one that it cut is cut', () => {
  const live = and(joined, { command: 'lapse', what: 'reEnergized' });
  const told = branching(joined.state, live.state);
  expect(told.live.length).toBeGreaterThan(0);
  const early = at(kiln(), 'count');
  expect(branching(early.state, joined.state).cut.length).toBeGreaterThan(0);
});
