import { describe, expect, test } from 'vitest';
import type { Step } from '#lib/core/checklist/model.ts';
import { bookOf } from '#lib/core/safety/book.ts';
import { POLISHER, STEPS, polisherWith } from '../../../support/polisher.ts';

const again: readonly Step[] = [
  {
    id: 'off-2',
    phase: 'finish',
    do: 'isolate',
    source: 'mains',
    point: 'breaker',
    say: 'Open it.',
  },
  { id: 'cover-off-2', phase: 'finish', do: 'open', end: 'cover', say: 'Take it off.' },
];
const book = bookOf(polisherWith({ steps: [...STEPS, ...again] }));
const at = (id: string) => {
  const step = book.steps[book.stepAt.get(id) ?? -1];
  if (step === undefined) throw new Error(`${id} is not in the checklist`);
  return step;
};

describe('a checklist read for the properties', () => {
  test.each([
    ['off', 'power'],
    ['unplug', 'plug-in'],
    ['power', 'off-2'],
    ['cover-off', 'cover-on'],
    ['cover-on', 'cover-off-2'],
    ['raise', 'lower'],
  ])('%s is undone by %s', (step, inverse) => {
    expect(at(step).undoable).toBe(true);
    expect(at(step).nextInverse).toBe(at(inverse).index);
  });

  test.each(['plug-in', 'lower', 'off-2', 'cover-off-2'])('nothing later undoes %s', (step) => {
    expect(at(step).undoable).toBe(true);
    expect(at(step).nextInverse).toBe(Infinity);
  });

  test.each(['told', 'lock', 'dead', 'clear', 'unlock'])(
    '%s is not undone by an opposite',
    (step) => {
      expect(at(step).undoable).toBe(false);
      expect(at(step).nextInverse).toBe(Infinity);
    },
  );

  test('a live window undoes the isolation of its own source alone', () => {
    const window = (source: string): Step => ({
      id: 'watch',
      phase: 'work',
      do: 'window',
      source,
      allows: [],
      minutes: 3,
      say: 'Watch.',
    });
    const withWindow = (source: string) =>
      bookOf(polisherWith({ steps: [...STEPS.slice(0, 14), window(source), ...STEPS.slice(14)] }));
    const off = at('off').index;
    expect(withWindow('mains').steps[off]?.nextInverse).toBe(14);
    expect(withWindow('heat').steps[off]?.nextInverse).toBe(at('power').index + 1);
  });

  test('points belong to their source, and steps that stand together to their first', () => {
    expect(book.sources.map((source) => source.points)).toEqual([[0, 1], [], [], []]);
    expect(at('look').first).toBe(at('look').index);
    expect(at('snap').first).toBe(at('look').index);
    expect(at('cover-on').first).toBe(at('cover-on').index);
  });

  test('hands are on the machine at a plug, and in every exposed step', () => {
    const hands = book.steps.filter((step) => step.hands).map((step) => step.id);
    expect(hands).toEqual([
      'unplug',
      'cool',
      'drain',
      'cover-off',
      'raise',
      'wires',
      'ohms',
      'fit',
      'rewire',
      'lower',
      'cover-on',
      'cover-off-2',
    ]);
  });

  test('every kind of hand on the machine is one without exposure too', () => {
    const bare = STEPS.map(({ exposes: _exposes, ...step }) => step as Step);
    const hands = bookOf(polisherWith({ steps: bare })).steps.filter((step) => step.hands);
    expect(hands.map((step) => step.do)).toEqual([
      'isolate',
      'release',
      'release',
      'open',
      'open',
      'disconnect',
      'reseat',
      'close',
      'close',
    ]);
  });

  // 47 s times ln 32.5, computed by hand: 163.62 s.
  test('the wait of a charge is computed from its own figures', () => {
    const { waitMs, feeders, residual } = book.sources[2]!.release!;
    expect(waitMs / 1000).toBeCloseTo(163.62, 2);
    expect(feeders).toEqual([0]);
    expect(residual).toEqual({ dimension: 'voltage', below: 10 });
  });

  test('what ends a source’s facts beyond the table ends its proofs and releases alone', () => {
    const mains = { ...POLISHER.sources.mains!, keeps: { unless: ['moved'] as const } };
    const heat = { ...POLISHER.sources.heat!, keeps: { unless: ['moved'] as const } };
    const strict = bookOf(polisherWith({ sources: { ...POLISHER.sources, mains, heat } }));
    expect(strict.endedBy.get('moved')).toEqual([at('cool').index, at('dead').index]);
    expect(strict.endedBy.get('joined')).toEqual([]);
  });

  test('says which source is electrical, which steps open an end, and which releases measure heat', () => {
    const look = { id: 'look-heat', phase: 'isolate', do: 'find', source: 'heat', say: 'Look.' };
    const list = bookOf(polisherWith({ steps: [...STEPS, look as unknown as Step] }));
    expect(list.sources.map(({ electrical }) => electrical)).toEqual([true, false, false, false]);
    expect(list.ends.map(({ openSteps }) => openSteps)).toEqual([
      [at('cover-off').index],
      [at('raise').index],
    ]);
    expect(list.coolReleases).toEqual([at('cool').index]);
  });

  test('voids the releases of what came back: its own, and those of what it feeds', () => {
    const void_ = book.sources.map(({ fedReleases }) => fedReleases);
    expect(void_).toEqual([[at('drain').index], [at('cool').index], [at('drain').index], []]);
  });

  test('gives half an hour to a proof on an electrical source alone', () => {
    const steps = STEPS.map((step) => (step.id === 'dead' ? { ...step, source: 'heat' } : step));
    expect(at('dead').keepsMs).toBe(30 * 60_000);
    const other = bookOf(polisherWith({ steps: steps as Step[] }));
    expect(other.steps[at('dead').index]?.keepsMs).toBe(Infinity);
  });

  test('takes one outcome for a list of one', () => {
    expect(at('fit').when).toEqual([{ step: at('verdict').index, options: ['replace'] }]);
  });

  test('undoes a point of one source by none of another that has the same name', () => {
    const valve = { label: 'Valve', by: 'valve', control: 'lock' } as const;
    const { sources } = POLISHER;
    const two = {
      ...sources,
      heat: { ...sources.heat!, points: { valve } },
      head: { ...sources.head!, points: { valve } },
    };
    const step = (id: string, kind: 'isolate' | 'restore', source: string) =>
      ({ id, phase: 'work', do: kind, source, point: 'valve', say: 'Turn it.' }) as Step;
    const list = bookOf(
      polisherWith({
        sources: two as never,
        steps: [
          step('a', 'isolate', 'heat'),
          step('b', 'isolate', 'head'),
          step('c', 'restore', 'head'),
          step('d', 'restore', 'heat'),
          step('e', 'isolate', 'head'),
          step('f', 'isolate', 'heat'),
        ],
      }),
    );
    const inverses = list.steps.map(({ nextInverse }) => nextInverse);
    expect(inverses).toEqual([3, 2, 4, 5, Infinity, Infinity]);
  });

  test('undoes an act by its opposite alone, not by what else is done at the same place', () => {
    const at_ = { source: 'mains', point: 'breaker' };
    const step = (id: string, kind: string, more: object) =>
      ({ id, phase: 'work', do: kind, say: 'Do it.', ...more }) as unknown as Step;
    const list = bookOf(
      polisherWith({
        steps: [
          step('a', 'restore', at_),
          step('b', 'lock', at_),
          step('c', 'isolate', at_),
          step('d', 'open', { end: 'cover' }),
          step('e', 'open', { end: 'cover' }),
          step('f', 'close', { end: 'cover' }),
          step('g', 'close', { end: 'cover' }),
          step('h', 'open', { end: 'cover' }),
        ],
      }),
    );
    const inverses = list.steps.map(({ nextInverse }) => nextInverse);
    expect(inverses).toEqual([2, Infinity, Infinity, 5, 5, 7, 7, Infinity]);
  });
});
