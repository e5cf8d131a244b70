import { describe, expect, test } from 'vitest';
import { tileAddress, tileAt } from '#lib/server/log/tile-address.ts';

describe('the address of a tile', () => {
  // The example of c2sp.org/tlog-tiles: index 1234067 is x001/x234/067.
  test.each([
    ['0/x001/x234/067', { level: 0, index: 1_234_067, width: 256 }],
    ['0/000', { level: 0, index: 0, width: 256 }],
    ['1/005.p/17', { level: 1, index: 5, width: 17 }],
    ['63/x001/000.p/255', { level: 63, index: 1000, width: 255 }],
  ])('%s', (address, place) => {
    expect(tileAt(address)).toEqual(place);
    expect(tileAddress(place)).toBe(address);
  });

  test.each([
    '',
    '0',
    '0/1',
    '0/0000',
    '00/000',
    '64/000',
    '0/x000/001',
    '0/001/002',
    '0/x001/x002',
    '0/000.p/0',
    '0/000.p/256',
    '0/000.p/007',
    '0/000/',
    '0/../000',
    'entries/000',
    '0/x999/x999/x999/x999/x999/x999/999',
  ])('is not: %s', (address) => {
    expect(tileAt(address)).toBeNull();
  });
});
