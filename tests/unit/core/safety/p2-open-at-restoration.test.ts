import { describe, expect, test } from 'vitest';
import { ISOLATED, POLISHER, STEPS, connector, polisherWith } from '../../../support/polisher.ts';
import {
  broken,
  corrected,
  did,
  opened,
  windowOpened,
  type Happening,
} from '../../../support/trace.ts';

const found = (happenings: readonly Happening[], checklist = POLISHER) =>
  broken(checklist, happenings).filter((one) => one.startsWith('P2 '));

const off = did('cover-off');
const wires = did('wires', { connectors: [connector('w1'), connector('w2')] });

describe('P2: nothing open at restoration', () => {
  test('passes when the cover is on and the connectors are back', () => {
    const closed = [
      did('rewire', { connector: 'w1' }),
      did('rewire', { connector: 'w2' }),
      did('cover-on'),
    ];
    expect(found([opened('mara'), off, wires, ...closed, did('plug-in')])).toEqual([]);
  });

  test.each<[string, Happening[]]>([
    ['a cover', [off]],
    ['a prop', [did('raise')]],
    ['a connector', [wires]],
    ['the second of two connectors', [wires, did('rewire', { connector: 'w1' })]],
    ['a cover that was opened by mistake only', [off, corrected('cover-off')]],
    ['a cover whose closing was taken back', [off, did('cover-on'), corrected('cover-on')]],
    [
      'a connector whose reseating was taken back',
      [
        wires,
        did('rewire', { connector: 'w1' }),
        did('rewire', { connector: 'w2' }),
        corrected('rewire'),
      ],
    ],
  ])('is broken by %s', (_, happenings) => {
    expect(found([opened('mara'), ...happenings, did('plug-in')])).toEqual(['P2 plug-in']);
  });

  test('remembers each connector, whichever came off last', () => {
    const one = (id: string) => did('wires', { connectors: [connector(id)] });
    const back = did('rewire', { connector: 'w2' });
    expect(found([opened('mara'), one('w1'), one('w2'), back, did('plug-in')])).toEqual([
      'P2 plug-in',
    ]);
    const again = [one('w1'), one('w2'), did('rewire', { connector: 'w1' }), back, one('w1')];
    expect(found([opened('mara'), ...again, did('plug-in')])).toEqual(['P2 plug-in']);
  });

  test('leaves other acts alone', () => {
    expect(found([...ISOLATED, off])).toEqual([]);
  });
});

describe('P2: a live window', () => {
  const window = polisherWith({
    steps: [
      ...STEPS.slice(0, 13),
      {
        id: 'look-live',
        phase: 'work',
        do: 'window',
        source: 'mains',
        allows: [],
        minutes: 3,
        stillOpen: ['cover'],
        say: 'Look.',
      },
      ...STEPS.slice(13),
    ],
  });

  test('may leave open what its step names', () => {
    expect(found([opened('mara'), off, windowOpened('look-live')], window)).toEqual([]);
  });

  test('leaves no other end open, and never a connector', () => {
    const ends = [opened('mara'), off, did('raise'), windowOpened('look-live')];
    expect(found(ends, window)).toEqual(['P2 look-live']);
    expect(found([opened('mara'), off, wires, windowOpened('look-live')], window)).toEqual([
      'P2 look-live',
    ]);
  });
});
