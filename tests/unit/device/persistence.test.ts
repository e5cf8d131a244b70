import { expect, test } from 'vitest';
import { askToKeep, inWords, lookAtKeeping } from '#lib/device/persistence.ts';

const storage = (promised: boolean, estimate: StorageEstimate = {}) => {
  const asked: string[] = [];
  return {
    asked,
    persist: () => {
      asked.push('persist');
      return Promise.resolve(promised);
    },
    persisted: () => Promise.resolve(promised),
    estimate: () => Promise.resolve(estimate),
  };
};

test('the answer of the browser is told as it is', async () => {
  expect(await askToKeep(storage(true))).toMatchObject({ promised: true });
  const refused = await askToKeep(storage(false, { usage: 3_200_000, quota: 1_203_200_000 }));
  expect(refused).toMatchObject({ promised: false, usage: 3_200_000, quota: 1_203_200_000 });
  expect(refused.says).toMatch(/has not promised/);
  expect(refused.says).toMatch(/They take 3\.2 MB; .* 1\.2 GB are left/);
});

test('looking asks nothing of the person', async () => {
  const port = storage(true);
  expect(await lookAtKeeping(port)).toMatchObject({ promised: true });
  expect(port.asked).toEqual([]);
});

test('a browser that cannot say, or fails to, has promised nothing', async () => {
  expect(await askToKeep(undefined)).toMatchObject({ promised: false });
  const failing = {
    persist: () => Promise.reject(new Error('no')),
    persisted: () => Promise.reject(new Error('no')),
    estimate: () => Promise.reject(new Error('no')),
  };
  expect(await askToKeep(failing)).toMatchObject({ promised: false });
});

test.each([
  [0, '0 bytes'],
  [999, '999 bytes'],
  [740_000, '740 KB'],
  [3_240_000, '3.2 MB'],
  [12_600_000_000, '13 GB'],
  [4_000_000_000_000, '4.0 TB'],
])('%d bytes are %s', (bytes, words) => {
  expect(inWords(bytes)).toBe(words);
});
