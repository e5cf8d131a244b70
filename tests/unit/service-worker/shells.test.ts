import { describe, expect, test } from 'vitest';
import { shellFor } from '../../../src/service-worker/shells.ts';

describe('the page that stands for an address', () => {
  test.each([
    ['', '/'],
    ['/records', '/records'],
    ['/records', '/records/'],
  ])('below "%s", where the first page is %s', (base, first) => {
    const shells = [first, `${base}/jobs`, `${base}/jobs/new`, `${base}/verify`];
    const of = (path: string) => shellFor(`${base}${path}`, shells, base);
    expect(of('/')).toBe(first);
    expect(of('/jobs/')).toBe(`${base}/jobs`);
    expect(of('/jobs/0199/sheet')).toBe(`${base}/jobs`);
    expect(of('/jobs/new')).toBe(`${base}/jobs/new`);
    // The first page stands for itself only, and a longer name is another page.
    expect(of('/office')).toBeNull();
    expect(of('/jobsite')).toBeNull();
  });
});
