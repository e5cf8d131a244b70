import { describe, expect, test } from 'vitest';
import { drawnOf } from '#lib/server/overview/drawn-board.ts';
import type { NowBoard, OpenJob } from '#lib/server/overview/now.ts';

const source = { id: 'mains', label: 'Mains', kind: 'electrical', state: 'dead' } as const;
const lock = { lock: 'L7', point: 'Breaker', source: 'Mains', since: 5, sure: true };

const aJob = (no: number, more: Partial<OpenJob> = {}): OpenJob => ({
  no,
  job: `job-${no}`,
  demo: false,
  checklist: 'range-door-lock',
  revision: 1,
  title: 'Range',
  status: 'atWork',
  openedAt: 1,
  person: 'mara',
  name: 'Mara',
  site: 'Ash Lane 4',
  lastAt: 2,
  dueAt: null,
  entries: 9,
  refusals: 1,
  forked: false,
  locks: [{ ...lock, owner: 'mara', name: 'Mara' }],
  sources: [{ ...source, provedAt: `2026-06-0${no}T08:00:00.000Z` }],
  openEnds: 2,
  unread: false,
  ...more,
});

const board = (open: readonly OpenJob[], left: readonly OpenJob[] = []): NowBoard => ({
  open,
  left,
  beyond: 3,
  heard: [{ job: 'job-1', seq: 4, kind: 'tingle', what: 'A tickle.', at: 7 }],
});

describe('what is drawn of the board', () => {
  test('is the same as on the board, of every job of both lists', () => {
    const some = [aJob(1), aJob(2, { status: 'parkedShut', dueAt: 9, unread: true, locks: [] })];
    const whole = board(some, [aJob(3, { status: 'refused' })]);
    const drawn = drawnOf(whole);
    // Whatever is drawn stands on the board with the same value.
    expect(whole).toMatchObject(JSON.parse(JSON.stringify(drawn)) as object);
    expect(drawn.open.map(({ job }) => job)).toEqual(['job-1', 'job-2']);
    expect(Object.keys(drawn.open[0] ?? {}).sort()).toEqual(
      'demo dueAt job lastAt locks name openEnds openedAt site sources status title unread'.split(
        ' ',
      ),
    );
    expect(drawn.left[0]?.locks).toEqual([{ ...lock, name: 'Mara' }]);
    expect(drawn.left[0]?.sources).toEqual([source]);
  });

  test('has sources once that stand alike, and apart where one thing differs', () => {
    const live = [{ ...source, state: 'live' as const }];
    const other = [{ ...source, label: 'Mains, upper' }];
    const { open } = drawnOf(
      board([aJob(1), aJob(2), aJob(3, { sources: live }), aJob(4, { sources: other })]),
    );
    expect(open[1]?.sources).toBe(open[0]?.sources);
    expect(open[2]?.sources).toEqual(live);
    expect(open[3]?.sources).toEqual(other);
  });
});
