import type { PointView, SourceView } from '#lib/core/job/view-types.ts';
import type { JobView } from '#lib/core/job/view-types.ts';

const names: Record<string, string> = { rosa: 'Rosa Marsh', idris: 'Idris Vale' };
export const nameOf = (id: string) => names[id] ?? id;

const breaker: PointView = {
  id: 'breaker',
  label: 'Range breaker in the kitchen panel',
  by: 'breaker',
  control: 'lock',
  position: 'closed',
  locks: [],
};
const plug: PointView = {
  id: 'plug',
  label: 'Range plug',
  by: 'plug',
  control: 'exclusive',
  position: 'closed',
  locks: [],
};
const mains: SourceView = {
  id: 'mains',
  label: 'Mains supply',
  kind: 'electrical',
  nominal: '240 V',
  state: 'live',
  points: [breaker, plug],
};
const heat: SourceView = {
  id: 'heat',
  label: 'Oven heat',
  kind: 'thermal',
  state: 'stored',
  points: [],
  wait: { totalMs: 1_800_000, remainingMs: 734_000 },
};
const top: SourceView = {
  id: 'top',
  label: 'Raised cooktop',
  kind: 'gravity',
  state: 'stored',
  points: [],
};
const edges: SourceView = {
  id: 'edges',
  label: 'Sheet metal edges',
  kind: 'sharp',
  state: 'released',
  points: [],
};

const lock = { number: '4', owner: 'rosa', point: 'breaker', sure: true, parked: false };
const lock2 = { number: '7', owner: 'idris', point: 'breaker', sure: true, parked: false };
const locked: PointView = { ...breaker, position: 'open', locks: [lock] };

export const wires: Record<string, Pick<JobView, 'sources' | 'openEnds'>> = {
  live: { sources: [mains, heat, top], openEnds: [] },
  cut: { sources: [{ ...mains, state: 'cut', points: [locked, plug] }, heat, top], openEnds: [] },
  held: {
    sources: [
      {
        ...mains,
        state: 'held',
        points: [
          { ...locked, locks: [lock, lock2] },
          { ...plug, position: 'open', holder: 'rosa' },
        ],
      },
      heat,
    ],
    openEnds: [],
  },
  dead: {
    sources: [
      {
        ...mains,
        state: 'dead',
        provedAt: '2026-11-25T10:42:00+01:00',
        keepsMs: 1_475_000,
        points: [locked, { ...plug, position: 'open', holder: 'rosa' }],
      },
      { ...heat, state: 'released', wait: { totalMs: 1, remainingMs: 0 } },
      edges,
    ],
    openEnds: [
      { id: 'rear-cover', label: 'Rear cover', kind: 'cover' },
      { id: 'lid-prop', label: 'Cooktop prop', kind: 'prop' },
      { id: 'c1', label: '1', kind: 'connector' },
      { id: 'c2', label: '2', kind: 'connector' },
    ],
  },
  unknown: {
    sources: [
      {
        ...mains,
        state: 'unknown',
        points: [
          { ...locked, position: 'unknown', locks: [{ ...lock, sure: false }] },
          { ...plug, position: 'unknown' },
        ],
      },
    ],
    openEnds: [{ id: 'rear-cover', label: 'Rear cover', kind: 'cover' }],
  },
};
