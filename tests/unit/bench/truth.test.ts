// The benches come to the right results: their times are not asked about here.
import { describe, expect, it } from 'vitest';
import { bench as decide } from '../../bench/decide.ts';
import { bench as explore } from '../../bench/explore.ts';
import { bench as fold } from '../../bench/fold.ts';
import { rowOf } from '../../bench/paired.ts';
import { tableOf } from '../../bench/table.ts';
import { entriesRow } from '../../bench/verify.ts';

describe('the benches', () => {
  it('decide as their peers do, before they are timed', async () => {
    const [row] = await decide(1);
    expect(row?.ratios.map(({ to }) => to)).toEqual(['json-rules-engine', 'xstate']);
  });

  it('find as many states as the graph search, and as the model checker where there is one', async () => {
    const [plain, compact] = await explore(1, { small: 4, large: 5 });
    // Look 2 waits for look 0, so 6 of the 8 sets of three, each with look 3 or without; unopened, signed, ended.
    expect(plain).toMatchObject({ units: 15 });
    if (compact !== undefined && 'units' in compact) expect(compact.units).toBe(27);
    else expect(compact?.skipped).toContain('spin');
  });

  it('fold a job to its hand-back', async () => {
    expect((await fold(1, [40])).map(({ units }) => units)).toEqual([40]);
  });

  it('verify a bag that holds, and not the same bag spoilt', async () => {
    expect((await entriesRow(1, 40)).units).toBe(40);
  });

  it('take a ratio as the median of its pairs, and hold it against its goal', () => {
    const seconds = new Map([
      ['ours', [1, 2, 30]],
      ['peer', [4, 10, 60]],
    ]);
    const row = rowOf({ name: 'two', says: '', units: 10, unit: 'things' }, seconds, [
      { ours: 'ours', to: 'peer', least: 4 },
      { ours: 'ours', to: 'peer', most: 0.2 },
    ]);
    // Pairs: 4, 5 and 2 times as fast; 0.25, 0.2 and 0.5 of the time.
    expect(row.ratios.map(({ ratio, met }) => [ratio, met])).toEqual([
      [4, true],
      [0.25, false],
    ]);
    expect(tableOf([row, { name: 'none', skipped: 'nothing there.' }])).toContain('**missed**');
  });
});
