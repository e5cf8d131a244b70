/** The ways a job may end or be left, from usable to held as evidence, and that nothing lies between. */
import { describe, expect, test } from 'vitest';
import { planOf } from '#lib/core/job/plan.ts';
import { CLOSED, OPEN } from '#lib/core/job/state.ts';
import {
  accepted,
  and,
  at,
  close,
  does,
  dryer,
  finished,
  given,
  kiln,
  lamp,
  MARA,
  METER,
  ODE,
  PIP,
  range,
  refused,
  refusedOnly,
  unopened,
  views,
  walk,
  when,
  type Said,
} from '../../../support/job-builder.ts';

const until = '2026-12-02';
const usable: Said = {
  command: 'park',
  as: 'usable',
  told: 'the keeper',
  owner: 'dispatch',
  until,
  left: [],
};
const shut = (more: object = {}): Said =>
  ({
    command: 'park',
    as: 'shut',
    told: 'the keeper',
    owner: 'dispatch',
    until,
    left: [],
    ...more,
  }) as Said;
const refuse = (left: readonly object[] = []): Said =>
  ({ command: 'refuse', why: 'The house wiring is not mine to mend', left }) as Said;
const hold: Said = { command: 'evidenceHold', why: 'Burn marks behind the case' };
const leave = (end: string, more: object = {}) => ({
  end,
  insulated: true,
  why: 'Waits for a part',
  ...more,
});

describe('parked usable', () => {
  test('put together, on, and its case tested since', () => {
    const job = and(at(kiln(), 'heats'), usable);
    expect(job.state.status).toBe('parkedUsable');
    expect(job.events.at(-1)).toMatchObject({ private: { told: 'the keeper', owner: 'dispatch' } });
    expect(JSON.stringify(job.events.at(-1)?.body)).not.toContain('keeper');
  });

  test.each([
    ['cover-on', 'open-ends', /“Rear cover” is still open/],
    ['lock-off', 'lock-owner', /Lock mara-0 of mara is still on/],
    ['plug-in', 'park-incomplete', /“Kiln plug” is still cut/],
    ['case-again', 'case-unknown', /has not been tested since it came back/],
  ] as const)('not at “%s”', (step, code, says) => {
    refused(when(at(kiln(), step), usable), code, says);
  });

  test('not with a case that read live', () => {
    const live = {
      pairs: { 'case-ground': { value: '40', unit: 'V' } },
      before: { expected: '120', shown: '120', unit: 'V' },
      instrument: METER.id,
    };
    const job = when(at(kiln(), 'case-again'), does('case-again', live)).job;
    refused(when(job, usable), 'case-live');
    refused(when(job, close), 'case-live');
  });
});

describe('wires that are off behind a closed case', () => {
  const bare = planOf({
    ...kiln().checklist,
    id: 'kiln-wires-alone',
    steps: kiln()
      .checklist.steps.filter(({ do: kind }) => kind !== 'open' && kind !== 'close')
      .map((step) => (step.id === 'wires' ? { ...step, needs: [] } : step)),
  });
  const job = at(bare, 'element-ohms');
  const ends = job.state.connectors.map(({ id }) => leave(id));
  const closed = { ...job, state: { ...job.state, points: [CLOSED, OPEN] } };

  test('are declared one by one', () => {
    expect(job.state.openEnds).toBe(0);
    refused(when(job, shut({ left: ends.slice(1) })), 'park-incomplete', /black at L1/);
    expect(and(job, shut({ left: ends })).state.connectors).toMatchObject([
      { left: leave('w1') },
      { left: leave('w2') },
    ]);
  });

  test('are no way to refuse or to hold evidence with a point on', () => {
    refused(when(closed, refuse(ends)), 'park-incomplete', /not cut at “Kiln breaker/);
    refused(when(closed, hold), 'park-incomplete', /not cut at “Kiln breaker/);
    expect(and(job, hold).state.status).toBe('evidenceHold');
  });
});

describe('parked shut', () => {
  test('cut at every point, under a lock, every end declared', () => {
    const job = and(at(kiln(), 'lid-up'), shut({ left: [leave('rear-cover')] }));
    expect(job.state.status).toBe('parkedShut');
    expect(views(job).openEnds).toMatchObject([{ id: 'rear-cover', left: leave('rear-cover') }]);
    expect(job.state.people.every(({ present }) => !present)).toBe(true);
  });

  test.each([
    ['a point that is on', () => at(kiln(), 'unplug'), shut(), /not cut at “Kiln plug”/],
    [
      'no lock anywhere',
      () => at(lamp(), 'base-off'),
      shut(),
      /can be switched on again by anybody/,
    ],
    [
      'an end that nobody declared',
      () => at(kiln(), 'lid-up'),
      shut(),
      /“Rear cover” is still open/,
    ],
    [
      'an end left bare',
      () => at(kiln(), 'lid-up'),
      shut({ left: [leave('rear-cover', { insulated: false })] }),
      /“Rear cover” is still open/,
    ],
    [
      'an end without a reason',
      () => at(kiln(), 'lid-up'),
      shut({ left: [leave('rear-cover', { why: ' ' })] }),
      /“Rear cover” is still open/,
    ],
  ] as const)('not with %s', (_, job, said, says) => {
    refusedOnly(when(job(), said), 'park-incomplete');
    refused(when(job(), said), 'park-incomplete', says);
  });

  test.each([
    ['nobody told', { told: ' ' }, 'bad-input', /Say who was told/],
    ['no owner', { owner: '' }, 'bad-input', /Say who owns/],
    ['no date', { until: 'soon' }, 'bad-input', /until when: a date/],
    ['a date that does not exist', { until: '2026-02-30' }, 'bad-input', /until when: a date/],
    ['a date that is over', { until: '2026-11-24' }, 'bad-input', /until when: a date/],
    [
      'an end that nobody knows',
      { left: [leave('lid-prop'), leave('wheel')] },
      'bad-input',
      /“wheel” is neither an end/,
    ],
    ['tape for the firm’s lock', { lock: 'tape' }, 'tag-not-enough', /“tape” is no lock/],
    ['a lock that hangs already', { lock: 'mara-0' }, 'lock-owner', /already on/],
  ] as const)('not with %s', (_, more, code, says) => {
    refused(when(at(kiln(), 'cover-off'), shut(more)), code, says);
  });

  test('the firm’s lock makes a plug sure that no lock of one’s own fits', () => {
    const job = and(at(lamp(), 'base-off'), shut({ lock: 'F-8' }));
    expect(job.state.locks).toMatchObject([{ number: 'F-8', parked: true }]);
    const back = walk(and(job, { command: 'resume' }));
    expect(accepted(when(back, close)).state.status).toBe('handedBack');
  });

  test('parked work takes its return, newcomers, news, and nothing else', () => {
    const job = and(at(kiln(), 'cover-off'), shut());
    refused(when(job, does('cover-off')), 'order', /parked: resume it first/);
    refused(when(job, { command: 'resume', by: 'ode' }), 'people', /ode is not on this job/);
    const told = and(
      job,
      { command: 'tingle', what: 'the keeper felt a prickle' },
      { command: 'nearMiss', what: 'the tag was gone' },
    );
    const back = and(
      told,
      { command: 'join', person: ODE, by: 'ode' },
      { command: 'resume', by: 'ode' },
    );
    expect(back.state.status).toBe('atWork');
    refused(when(back, { command: 'resume', by: 'ode' }), 'order', /neither parked nor stopped/);
  });
});

describe('refused', () => {
  test('from the door, before anything was touched', () => {
    expect(and(given(kiln()), refuse()).state.status).toBe('refused');
  });

  test('with the machine cut and locked, or open, cut, locked and declared', () => {
    and(at(kiln(), 'gloves'), refuse());
    and(at(kiln(), 'lid-up'), refuse([leave('rear-cover')]));
  });

  test('never with a trap left behind', () => {
    refused(when(at(kiln(), 'lid-up'), refuse()), 'park-incomplete', /“Rear cover” is still open/);
    refused(
      when(at(kiln(), 'breaker-lock'), refuse()),
      'park-incomplete',
      /can be switched on again/,
    );
    refused(
      when(at(range(), 'pull'), refuse()),
      'park-incomplete',
      /Strap that holds the oven door/,
    );
    refused(when(given(kiln()), { ...refuse(), why: ' ' } as Said), 'bad-input', /Say why/);
    refused(when(given(kiln()), refuse([leave('wheel')])), 'bad-input', /“wheel” is neither/);
  });
});

describe('held as evidence', () => {
  test('as it was found, and never beside open live parts', () => {
    expect(and(given(kiln()), hold).state.status).toBe('evidenceHold');
    expect(and(at(kiln(), 'lid-up'), hold).state.status).toBe('evidenceHold');
    const back = and(at(kiln(), 'lid-up'), {
      command: 'lapse',
      what: 'reEnergized',
      source: 'mains',
    });
    refused(when(back, hold), 'park-incomplete', /not cut at/);
    refused(when(given(kiln()), { ...hold, why: '' } as Said), 'bad-input');
  });
});

describe('handed back', () => {
  test('signed, whole, on, and tested', () => {
    const job = and(finished(kiln()), close);
    expect(job.events.at(-1)).toMatchObject({ type: 'job.closed', body: { openEnds: [] } });
  });

  test('not before the last step, and not when its signature was taken back', () => {
    refused(when(at(kiln(), 'heats'), close), 'order', /“heats” is not done yet/);
    const unsigned = and(finished(kiln()), { command: 'correct', step: 'done', why: 'Too early' });
    refused(when(unsigned, close), 'order', /“done” is not done yet/);
    refused(when(at(kiln(), 'rewire'), close), 'open-ends', /“rewire” is not done yet/);
  });

  test('not after its case test was taken back', () => {
    const job = and(at(kiln(), 'heats'), { command: 'lapse', what: 'time', step: 'case-again' });
    refused(when(job, usable), 'case-unknown');
  });
});

describe('after an end', () => {
  test.each([
    ['handed back', () => and(finished(lamp()), close)],
    ['refused', () => and(given(lamp()), refuse())],
    ['held', () => and(given(lamp()), hold)],
  ] as const)('%s: only amendments', (_, job) => {
    const ended = job();
    const late: Said[] = [
      does('count', { sources: 1 }),
      close,
      hold,
      usable,
      { command: 'resume' },
      { command: 'tingle', what: 'late' },
    ];
    for (const said of late) refusedOnly(when(ended, said), 'ended');
    const amended = and(ended, {
      command: 'amend',
      about: 'done',
      text: 'The lamp hung left of the door.',
    });
    expect(amended.events.at(-1)).toMatchObject({ type: 'amended', body: { about: 'done' } });
    refused(when(ended, { command: 'amend', about: 'done', text: ' ' }), 'bad-input');
  });

  test('no amendment comes before it', () => {
    refused(
      when(given(lamp()), { command: 'amend', about: 'x', text: 'y' }),
      'order',
      /added after the end/,
    );
    refused(
      when(unopened(lamp()), { command: 'amend', about: 'x', text: 'y' }),
      'order',
      /not open yet/,
    );
  });
});

describe('tools down', () => {
  test('is never refused, closes a window, and stops every act until work starts again', () => {
    const open: Said = {
      command: 'window',
      source: 'motor',
      reason: 'under command',
      readBack: 'disconnect 3',
    };
    const live = and(at(dryer(), 'live', [MARA, ODE]), open);
    const down = and(live, { command: 'downTools', why: 'The drum moved by itself' });
    expect(down.events.slice(-2).map(({ type }) => type)).toEqual(['window.closed', 'tools.down']);
    const more = and(down, { command: 'downTools', why: 'And a smell' });
    refused(when(more, does('gloves-again')), 'order', /Tools are down/);
    refused(when(more, { command: 'endWindow' }), 'order', /Tools are down/);
    expect(and(more, { command: 'resume' }).state.status).toBe('atWork');
  });

  test.each([
    ['at the door', () => given(kiln())],
    ['in the middle', () => at(kiln(), 'wires')],
    ['at the end', () => finished(kiln())],
  ] as const)('%s there is always a way to stop', (_, job) => {
    expect(and(job(), { command: 'downTools', why: 'Stop' }).state.status).toBe('downTools');
    and(job(), { command: 'tingle', what: 'A prickle' });
  });

  test('a tingle in a live window stops work too', () => {
    const open: Said = {
      command: 'window',
      source: 'motor',
      reason: 'under command',
      readBack: 'disconnect 3',
    };
    const job = and(at(dryer(), 'live', [MARA, ODE]), open, {
      command: 'tingle',
      what: 'A prickle',
    });
    expect(job.state.status).toBe('downTools');
    expect(job.state.window).toBeUndefined();
  });
});

describe('no exit stands open while a live window does', () => {
  const open: Said = {
    command: 'window',
    source: 'motor',
    reason: 'under command',
    readBack: 'disconnect 3',
  };
  const exits: Said[] = [
    usable,
    shut(),
    refuse([leave('front')]),
    hold,
    close,
    { command: 'leave', person: ODE.id },
    { command: 'handOver', to: ODE.id },
    { command: 'join', person: PIP },
    { command: 'correct', step: 'verdict', why: 'x' },
    { command: 'notDone', step: 'air', why: 'x' },
  ];
  test.each(exits)('$command', (said) => {
    refused(when(and(at(dryer(), 'live', [MARA, ODE]), open), said), 'live-window');
  });
});

test('the view says what stands against each exit', () => {
  const { exits } = views(at(kiln(), 'lid-up'));
  expect(exits.evidenceHold).toEqual([]);
  expect(exits.parkShut.map(({ code }) => code)).toEqual(['park-incomplete']);
  expect(exits.refuse.map(({ code }) => code)).toEqual(['park-incomplete']);
  expect(exits.parkUsable.length).toBeGreaterThan(2);
  const done = finished(kiln());
  expect(views(done).exits.close).toEqual([]);
});
