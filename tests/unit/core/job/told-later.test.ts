// What a hand-over, a removal and an amendment carry beside what is judged: the walk, the pictures, the time.
import { expect, test } from 'vitest';
import { eventOf } from '#lib/core/bag/bodies.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { and, at, finished, close, kiln, ODE, when } from '../../../support/job-builder.ts';

const PAPER = 'ab'.repeat(32);
const stamp = { at: '2026-11-30T16:40:00-05:00', mono: 5, boot: 'b', by: 'mara' };

test('the points walked together stand in the record of a hand-over', () => {
  const job = and(at(kiln(), 'cover-off'), { command: 'join', person: ODE });
  const given = when(job, { command: 'handOver', to: 'ode', lock: '77', walked: ['breaker'] });
  expect(given.decision.events.at(-1)).toMatchObject({
    type: 'job.handedOver',
    body: { from: 'mara', to: 'ode', lock: '77', walked: ['breaker'] },
  });
});

test('an amendment says when and from which paper, and changes no fact', () => {
  const job = and(finished(kiln()), close);
  const amended = and(job, {
    command: 'amend',
    about: 'heats',
    text: 'The second reading stood on the sheet.',
    acted: '2026-11-30T15:00:00-05:00',
    photos: [PAPER],
  });
  const { type, body } = amended.events.at(-1) ?? {};
  expect({ type, body }).toMatchObject({ type: 'amended', body: { photos: [PAPER] } });
  expect(amended.state.facts).toEqual(job.state.facts);
  expect(amended.state.marks).toEqual(job.state.marks);
});

test('they are read from outside, and refused when they are not what they should be', () => {
  const amend = { command: 'amend', about: 'a', text: 'b', ...stamp };
  expect(parseCommand({ ...amend, photos: [PAPER], acted: stamp.at })).toMatchObject({
    ok: true,
    command: { photos: [PAPER], acted: stamp.at },
  });
  expect(parseCommand({ ...amend, photos: ['x'] })).toMatchObject({ ok: false });
  expect(parseCommand({ ...amend, acted: 'noon' })).toMatchObject({ ok: false });
  expect(parseCommand({ command: 'handOver', to: 'ode', walked: 7, ...stamp })).toMatchObject({
    ok: false,
  });
  const entry = (body: object) => ({ ...stamp, type: 'amended', body }) as never;
  expect(eventOf(entry({ about: 'a', text: 'b', photos: [PAPER] })).ok).toBe(true);
  expect(eventOf(entry({ about: 'a', text: 'b', photos: ['x'] })).ok).toBe(false);
});
