import { describe, expect, it } from 'vitest';
import type { JobEvent } from '#lib/core/job/events.ts';
import type { Rule } from '#lib/core/screen/finding.ts';
import { bitsApart, lookOf } from '#lib/core/screen/photo-look.ts';
import { drawn } from '#lib/core/screen/sample.ts';
import { evenness } from '#lib/core/screen/statistics.ts';
import { screen } from '#lib/core/screen/screen.ts';
import type { ScreenJob } from '#lib/core/screen/trace.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { crewChecklist, seeded } from '../../../support/made-crew.ts';

const START = Date.UTC(2026, 10, 2, 8);
type Done = { step: string; after?: number; wall?: number; acted?: number; result?: object };

/** A job of single steps, a minute apart unless told; `wall` moves the wall clock alone, in seconds. */
function job(id: string, done: readonly Done[], by = 'mara', start = START, end = true): ScreenJob {
  let [mono, turned] = [0, 0];
  const stamp = () => ({
    at: new Date(start + mono + turned).toISOString(),
    mono,
    boot: id,
    by,
  });
  const events: unknown[] = [{ type: 'job.opened', ...stamp(), body: {} }];
  for (const { step, after = 60, wall = 0, acted, result = {} } of done) {
    mono += after * 1000;
    turned += wall * 1000;
    const when = acted === undefined ? {} : { acted: new Date(start + acted * 1000).toISOString() };
    events.push({ type: 'step.done', ...stamp(), body: { step, result, ...when } });
  }
  if (end) events.push({ type: 'job.closed', ...stamp(), body: { openEnds: [] } });
  return { job: id, checklist: crewChecklist, events: events as JobEvent[] };
}

const idOf = (kind: string, which = 0): string =>
  crewChecklist.steps.filter((step) => step.do === kind)[which]?.id ?? `no ${kind}`;
const asked = (jobs: readonly ScreenJob[], rule: Rule) =>
  screen(jobs).findings.filter((one) => one.rule === rule);

describe('the rules one by one, asking and not asking', () => {
  it('D11 and D12: the wall clock against the running one', () => {
    const back = job('a', [{ step: 'scene' }, { step: 'plate', wall: -300 }]);
    expect(asked([back], 'D11')).toMatchObject([{ figures: { seconds: 300 } }]);
    expect(asked([job('a', [{ step: 'plate', wall: -1 }])], 'D11')).toEqual([]);
    const ahead = job('a', [{ step: 'plate', wall: 300 }]);
    expect(asked([ahead], 'D12')).toMatchObject([{ weight: 'note' }]);
  });

  it('D13: told as done before power came back', () => {
    const restore = idOf('restore');
    const late = { step: idOf('prove'), acted: 30 };
    expect(asked([job('a', [{ step: restore }, late])], 'D13')).toHaveLength(1);
    expect(asked([job('a', [late, { step: restore }])], 'D13')).toEqual([]);
  });

  it('D15: a proof without its check of the meter', () => {
    const check = { expected: '120', shown: '120', unit: 'V' };
    const prove = idOf('prove');
    const whole = { step: prove, result: { before: check, after: check } };
    expect(asked([job('a', [{ step: prove, result: { before: check } }])], 'D15')).toHaveLength(1);
    expect(asked([job('a', [whole])], 'D15')).toEqual([]);
  });

  it('D16: there and back between two jobs', () => {
    const steps = [
      { step: 'scene', after: 60 },
      { step: 'plate', after: 60 },
    ];
    const two = [job('a', steps), job('b', steps, 'mara', START + 30_000)];
    expect(asked(two, 'D16')).toHaveLength(1);
    expect(asked([job('a', steps), job('b', steps, 'tomas', START + 30_000)], 'D16')).toEqual([]);
    expect(asked([job('a', steps), job('b', steps, 'mara', START + 3_600_000)], 'D16')).toEqual([]);
  });

  it('D18: never a connector off', () => {
    const off = { step: idOf('disconnect'), result: { connectors: [{ id: 'w1' }] } };
    const none = { step: idOf('disconnect'), result: { connectors: [] } };
    const three = (done: Done) =>
      ['a', 'b', 'c'].map((id, at) => job(id, [done], 'mara', START + at * 1e7));
    expect(asked(three(none), 'D18')).toMatchObject([{ figures: { jobs: 3 } }]);
    expect(asked(three(off), 'D18')).toEqual([]);
    expect(asked(three(none).slice(1), 'D18')).toEqual([]);
  });

  it('D10: a hundred jobs without an exception, and not ninety-nine', () => {
    const many = Array.from({ length: 100 }, (_, at) =>
      job(`j${at}`, [{ step: 'scene' }], 'mara', START + at * 1e7),
    );
    expect(asked(many, 'D10')).toHaveLength(1);
    expect(asked(many.slice(1), 'D10')).toEqual([]);
  });

  it('D20: three jobs entered within a quarter of an hour', () => {
    const quick = Array.from({ length: 8 }, () => ({ step: 'scene', after: 20 }));
    const jobs = (apart: number) =>
      ['a', 'b', 'c'].map((id, at) => job(id, quick, 'mara', START + at * apart));
    expect(asked(jobs(200_000), 'D20')).toHaveLength(1);
    expect(asked(jobs(7_200_000), 'D20')).toEqual([]);
  });

  it('D21: many safety facts entered late', () => {
    const facts = (late: number) =>
      Array.from({ length: 25 }, (_, at) => ({
        step: idOf('prove'),
        ...(at < late ? { acted: at * 60 } : {}),
      }));
    expect(asked([job('a', facts(6))], 'D21')).toMatchObject([{ figures: { share: 24 } }]);
    expect(asked([job('a', facts(3))], 'D21')).toEqual([]);
  });
});

describe('rules that the made-up crews give no reason for', () => {
  it('D14: told as done before what it rests on', () => {
    const resting = crewChecklist.steps.find(({ needs }) => (needs ?? []).length > 0);
    const [need = ''] = resting?.needs ?? [];
    const done = (acted: number) => [{ step: need }, { step: resting?.id ?? '', acted }];
    expect(asked([job('a', done(30))], 'D14')).toMatchObject([{ steps: [resting?.id] }]);
    expect(asked([job('a', done(90))], 'D14')).toEqual([]);
  });

  it('D17: one lock on two points', () => {
    const [first, second] = crewChecklist.steps.filter((step) => step.do === 'lock');
    const off = crewChecklist.steps.find(
      (step) =>
        step.do === 'unlock' &&
        first?.do === 'lock' &&
        step.source === first.source &&
        step.point === first.point,
    );
    const other = second ?? first;
    const on = (step: string | undefined) => ({ step: step ?? '', result: { lock: 'L7' } });
    const found = asked([job('a', [on(first?.id), on(other?.id)])], 'D17');
    expect(found).toHaveLength(second === undefined ? 0 : 1);
    expect(
      asked([job('a', [on(first?.id), { step: off?.id ?? '' }, on(other?.id)])], 'D17'),
    ).toEqual([]);
  });

  it('D9: readings that hug the middle, beside those of the others', () => {
    const reading = idOf('reading');
    const random = seeded(5);
    const made = (by: string, spread: number) =>
      Array.from({ length: 40 }, (_, at) => {
        const value = (120 + (random() - 0.5) * spread).toFixed(1);
        return job(
          `${by}${at}`,
          [{ step: reading, result: { value, unit: 'V' } }],
          by,
          START + at * 1e7,
        );
      });
    expect(asked([...made('mara', 2), ...made('ode', 8)], 'D9')).toMatchObject([
      { person: 'mara' },
    ]);
    expect(asked([...made('mara', 7), ...made('ode', 8)], 'D9')).toEqual([]);
  });

  it('D22: one of seven whose gates refuse far more often, and never how quick somebody is', () => {
    const refusal = (by: string, at: number) => ({
      type: 'try.refused',
      at: new Date(START + at * 1e7 + 1000).toISOString(),
      mono: 1000,
      boot: `${by}${at}`,
      by,
      body: { command: 'do', codes: [], says: [] },
    });
    const people = ['a', 'b', 'c', 'd', 'e', 'f', 'mara'];
    const jobs = (much: number) =>
      people.flatMap((by, person) =>
        Array.from({ length: 30 }, (_, at) => {
          const one = job(`${by}${at}`, [{ step: 'scene' }], by, START + at * 1e7);
          const count = by === 'mara' ? much : Number(at < 10 + person);
          const extra = Array.from({ length: count }, () =>
            refusal(by, at),
          ) as unknown as JobEvent[];
          return { ...one, events: [...one.events, ...extra] };
        }),
      );
    expect(asked(jobs(4), 'D22')).toMatchObject([
      { person: 'mara', figures: { what: 'refusals' } },
    ]);
    expect(asked(jobs(0), 'D22').filter(({ person }) => person !== 'mara')).toEqual([]);
  });
});

describe('the random sample', () => {
  const all = Array.from({ length: 401 }, (_, at) => `job-${at}`);
  it('is one in twenty rounded up, the same from the same seed whatever the order', () => {
    const sample = drawn(all, 'seed one', nodePrimitives);
    expect(sample).toHaveLength(21);
    expect(new Set(sample).size).toBe(21);
    expect(drawn(all.toReversed(), 'seed one', nodePrimitives)).toEqual(sample);
    expect(drawn(all, 'seed two', nodePrimitives)).not.toEqual(sample);
    expect(drawn([], 'seed one', nodePrimitives)).toEqual([]);
  });
  it('takes every job about as often over many seeds', () => {
    const few = all.slice(0, 40);
    const hits = few.map(() => 0);
    for (let seed = 0; seed < 1000; seed += 1)
      for (const job of drawn(few, `s${seed}`, nodePrimitives)) hits[few.indexOf(job)]! += 1;
    // Two of forty, a thousand times: fifty each; six deviations of chance are 41.
    for (const count of hits) expect(Math.abs(count - 50)).toBeLessThan(41);
    expect(evenness(hits)?.p).toBeGreaterThan(1e-6);
  });
});

describe('last digits (D8)', () => {
  const reading = idOf('reading');
  const jobs = (count: number, digit: (random: () => number) => number): ScreenJob[] => {
    const random = seeded(11);
    return Array.from({ length: count }, (_, at) => {
      const value = `${100 + Math.floor(random() * 40)}.${digit(random)}`;
      return job(
        `j${at}`,
        [{ step: reading, result: { value, unit: 'V' } }],
        'mara',
        START + at * 1e7,
      );
    });
  };
  const liking = (random: () => number): number => (random() < 0.4 ? 5 : Math.floor(random() * 10));

  it('asks about a liking for one digit from a hundred readings on, and never below', () => {
    expect(asked(jobs(150, liking), 'D8')).toHaveLength(1);
    expect(asked(jobs(99, liking), 'D8')).toEqual([]);
  });
  it('does not ask about even digits', () => {
    expect(
      asked(
        jobs(400, (random) => Math.floor(random() * 10)),
        'D8',
      ),
    ).toEqual([]);
  });
  it('does not ask where the last digit hardly moves by itself', () => {
    const steady = Array.from({ length: 150 }, (_, at) =>
      job(
        `j${at}`,
        [{ step: reading, result: { value: '2.61', unit: 'ohm' } }],
        'mara',
        START + at * 1e7,
      ),
    );
    expect(asked(steady, 'D8')).toEqual([]);
  });
});

describe('how a photo looks (D5)', () => {
  const picture = (seed: number): number[] => {
    const random = seeded(seed);
    const cells = Array.from({ length: 72 }, () => random() * 255);
    return Array.from({ length: 90 * 80 }, (_, at) => {
      const [x, y] = [Math.floor((at % 90) / 10), Math.floor(at / 900)];
      return cells[y * 9 + x] ?? 0;
    });
  };
  it('is the same after the light changed, and far from another picture', () => {
    const one = lookOf(picture(1), 90, 80) ?? '';
    const brighter =
      lookOf(
        picture(1).map((luma) => luma * 0.8 + 20),
        90,
        80,
      ) ?? '';
    expect(bitsApart(one, brighter)).toBeLessThanOrEqual(1);
    expect(bitsApart(one, lookOf(picture(2), 90, 80) ?? '')).toBeGreaterThan(15);
  });
  it('is none for a plain or a tiny picture', () => {
    expect(
      lookOf(
        Array.from({ length: 7200 }, () => 128),
        90,
        80,
      ),
    ).toBeNull();
    expect(lookOf([1, 2, 3], 3, 1)).toBeNull();
  });
  it('asks only to look when another job has nearly the same', () => {
    const photo = (digest: string) => [{ step: 'plate', result: { photos: [digest] } }];
    const first = { ...job('a', photo('01')), looks: new Map([['01', '00000000000000ff']]) };
    const near = {
      ...job('b', photo('02'), 'mara', START + 1e7),
      looks: new Map([['02', '00000000000000fe']]),
    };
    const far = { ...near, looks: new Map([['02', 'ffffffff000000ff']]) };
    expect(asked([first, near], 'D5')).toMatchObject([{ weight: 'look', figures: { bits: 1 } }]);
    expect(asked([first, far], 'D5')).toEqual([]);
    // Five bits, one in each of five pieces of the look; and six, one in each piece.
    const spread = { ...near, looks: new Map([['02', '10010010010010ff']]) };
    const more = { ...near, looks: new Map([['02', '10010010010010fe']]) };
    expect(asked([first, spread], 'D5')).toMatchObject([{ figures: { bits: 5 } }]);
    expect(asked([first, more], 'D5')).toEqual([]);
  });
});
