import { describe, expect, test } from 'vitest';
import type { PointView, SourceView } from '#lib/core/job/view-types.ts';
import { conductor, initials, lineOf } from '#lib/ui/wire/wire-drawing.ts';

const point = (id: string, position: PointView['position']): PointView => ({
  id,
  label: id,
  by: 'breaker',
  control: 'lock',
  position,
  locks: [],
});

function source(state: SourceView['state'], ...positions: PointView['position'][]): SourceView {
  const points = positions.map((position, index) => point(`p${index}`, position));
  return { id: 'mains', label: 'Mains', kind: 'electrical', state, points };
}

const states = (drawn: SourceView) => lineOf(drawn, 360).runs.map(({ state }) => state);

describe('what each run of the line is drawn as', () => {
  test('live through closed points is live to the machine', () => {
    expect(states(source('live', 'closed', 'closed'))).toEqual(['live', 'live', 'live']);
  });

  test('the supply side of an open point stays live', () => {
    expect(states(source('live', 'open', 'closed'))).toEqual(['live', 'cut', 'cut']);
    expect(states(source('held', 'open', 'open'))).toEqual(['live', 'cut', 'cut']);
  });

  test('only the run that the proof was taken on lies still', () => {
    expect(states(source('dead', 'open', 'open'))).toEqual(['live', 'cut', 'still']);
  });

  test('nothing lies still in any other state', () => {
    for (const state of ['live', 'unknown', 'cut', 'held', 'window'] as const)
      for (const positions of [['open'], ['closed'], ['unknown']] as const)
        expect(states(source(state, ...positions)), state).not.toContain('still');
  });

  test('an unknown source is in doubt all along', () => {
    expect(states(source('unknown', 'unknown', 'open'))).toEqual(['doubt', 'doubt', 'doubt']);
  });

  test('a proof without an open point is not drawn as still', () => {
    expect(states(source('dead', 'closed'))).not.toContain('still');
  });
});

test('everything stays inside the drawing, in order from supply to machine', () => {
  for (const width of [300, 360, 1100]) {
    const { runs, points, supply, appliance } = lineOf(
      source('live', 'closed', 'open', 'closed'),
      width,
    );
    const edges = runs.flatMap(({ from, to }) => [from, to]);
    expect(edges).toEqual([...edges].sort((one, other) => one - other));
    expect(supply).toBeLessThan(edges[0] ?? 0);
    expect(edges.at(-1)).toBe(appliance);
    expect(appliance).toBeLessThan(width);
    expect(points).toHaveLength(3);
  }
});

test('a conductor is a wave when it has a height, and flat when it has none', () => {
  expect(conductor(0, 90, 0, 10)).toBe('M0 10H90');
  expect(conductor(0, 90, 5, 10)).toMatch(/^M0 10(Q[\d. ]+){10}$/u);
  expect(conductor(50, 50, 5)).toBe('');
});

test.each([
  ['Rosa Marsh', 'RM'],
  ['rosa-marsh', 'RM'],
  ['rosa', 'RO'],
  ['Ángela de la Cruz', 'ÁD'],
  ['', '?'],
])('the initials of %j are %s', (name, letters) => {
  expect(initials(name)).toBe(letters);
});
