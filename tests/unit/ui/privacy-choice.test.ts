import { expect, test } from 'vitest';
import { between, byName, LEAST, nudged } from '#lib/ui/privacy/choice.ts';

test('a region drawn from any corner is the same, and stays within the photo', () => {
  const region = { x: 100, y: 200, width: 300, height: 50 };
  expect(between({ x: 100, y: 200 }, { x: 400, y: 250 })).toEqual(region);
  expect(between({ x: 400, y: 250 }, { x: 100, y: 200 })).toEqual(region);
  expect(between({ x: -90, y: 900 }, { x: 40, y: 1200 })).toEqual({
    x: 0,
    y: 900,
    width: 40,
    height: 100,
  });
});

test('arrow keys move a region or size it, within the photo and never to nothing', () => {
  const region = { x: 990, y: 0, width: 10, height: 20 };
  expect(nudged(region, 'ArrowRight', false)).toEqual(region);
  expect(nudged(region, 'ArrowLeft', false)).toEqual({ ...region, x: 970 });
  expect(nudged(region, 'ArrowUp', true)).toMatchObject({ height: LEAST });
  expect(nudged(region, 'ArrowDown', true)).toMatchObject({ height: 40 });
  expect(nudged(region, 'Enter', false)).toBeNull();
});

test('values of one name stand together', () => {
  const value = (name: string, digest: string) => ({ name, digest, value: digest });
  const values = [value('site', 'a'), value('told', 'b'), value('site', 'c')];
  expect(byName(values).map((same) => same.map(({ digest }) => digest))).toEqual([
    ['a', 'c'],
    ['b'],
  ]);
});
