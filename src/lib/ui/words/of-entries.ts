/** Entries of a record as sentences, for the timeline and the story so far. */
import type { Lapse } from '#lib/core/checklist/model.ts';
import type { EventBodies, JobEvent } from '#lib/core/job/events.ts';
import type { Desk } from '../desk.ts';
import { stepOf } from '../desk.ts';
import * as m from '../paraglide/messages.js';
import { resultLines } from './of-facts.ts';
import { withNames } from './of-people.ts';
import { dayAndTime, duration } from './of-time.ts';

export type EntryTone = 'plain' | 'refused' | 'lapsed' | 'stopped' | 'note';

export interface EntryWords {
  readonly what: string;
  readonly details: readonly string[];
  readonly tone: EntryTone;
  readonly photos: readonly string[];
}

type Words = Pick<Desk, 'checklist' | 'view' | 'nameOf'>;

export const lapseName: Readonly<Record<Lapse, () => string>> = {
  time: m.lapse_time,
  leftSight: m.lapse_left_sight,
  panelTouched: m.lapse_panel_touched,
  reEnergized: m.lapse_re_energized,
  moved: m.lapse_moved,
  instrumentDoubt: m.lapse_instrument_doubt,
  joined: m.lapse_joined,
  parked: m.lapse_parked,
  resumed: m.lapse_resumed,
  handedOver: m.lapse_handed_over,
  windowOpened: m.lapse_window_opened,
};

const joinedBy = { code: m.entry_joined_code, pin: m.entry_joined_pin };

export function entrySays(event: JobEvent, desk: Words): EntryWords {
  const say = (id: string) => (stepOf(desk.checklist, id)?.say ?? id).replace(/\.$/u, '');
  switch (event.type) {
    case 'step.done': {
      const { step, result } = event.body;
      return plain(say(step), resultLines(step, result, desk), result.photos);
    }
    case 'step.notDone': {
      const { step, why, applies } = event.body;
      const said = { step: say(step), why };
      return note(applies ? m.entry_not_done(said) : m.entry_not_applicable(said));
    }
    case 'step.corrected':
      return note(m.entry_corrected({ step: say(event.body.step), why: event.body.why }));
    case 'try.refused':
      return {
        what: m.entry_refused({ step: event.body.step === undefined ? '' : say(event.body.step) }),
        details: event.body.says.map((each) => withNames(each, desk.view.people, desk.nameOf)),
        tone: 'refused',
        photos: [],
      };
    case 'fact.lapsed':
      return {
        what: lapseName[event.body.what](),
        details: event.body.steps.map(say),
        tone: 'lapsed',
        photos: [],
      };
    case 'job.opened':
      return plain(m.entry_opened({ title: desk.checklist.title }));
    case 'person.joined':
      return plain(
        m.entry_joined({ name: desk.nameOf(event.body.person) }),
        event.body.hand === undefined ? [] : [joinedBy[event.body.hand.by]()],
      );
    case 'person.left':
      return plain(m.entry_left({ name: desk.nameOf(event.body.person) }));
    case 'caution.read':
      return note(m.entry_caution({ step: say(event.body.step) }));
    case 'window.opened':
      return stopped(m.entry_window({ why: event.body.reason, minutes: event.body.minutes }));
    case 'window.closed':
      return stopped(event.body.unexpected ? m.entry_window_abort() : m.entry_window_closed());
    case 'job.parked':
      return stopped(event.body.as === 'shut' ? m.entry_parked_shut() : m.entry_parked_usable());
    case 'job.resumed':
      return plain(m.entry_resumed());
    case 'job.handedOver':
      return plain(
        m.entry_handed_over({ from: desk.nameOf(event.body.from), to: desk.nameOf(event.body.to) }),
        event.body.walked?.length ? [m.entry_walked()] : [],
      );
    case 'job.rebased': {
      const { checklist, why } = event.body;
      return stopped(m.entry_rebased({ revision: checklist.revision, why }));
    }
    case 'lock.removedFor':
      return {
        ...stopped(
          m.entry_lock_removed({ lock: event.body.lock, name: desk.nameOf(event.body.owner) }),
        ),
        details: [event.body.away, ...event.body.tried, event.body.informed],
        photos: event.body.photos ?? [],
      };
    case 'tingle':
      return stopped(m.entry_tingle());
    case 'nearMiss':
      return stopped(m.entry_near_miss({ what: event.body.what }));
    case 'tools.down':
      return stopped(m.entry_tools_down({ why: event.body.why }));
    case 'job.refused':
      return stopped(m.entry_job_refused({ why: event.body.why }));
    case 'evidence.held':
      return stopped(m.entry_evidence_held({ why: event.body.why }));
    case 'clock.noted':
      return note(clockSays(event.body));
    case 'program.noted':
      return note(event.body.what);
    case 'disclosure.erased':
      return note(m.entry_erased());
    case 'key.rotated':
      return note(m.entry_key({ name: desk.nameOf(event.body.person) }));
    case 'job.closed':
      return stopped(m.entry_closed());
    case 'amended':
      return {
        ...note(m.entry_amended({ text: event.body.text })),
        details:
          event.body.acted === undefined
            ? []
            : [m.entry_acted({ when: dayAndTime(event.body.acted) })],
        photos: event.body.photos ?? [],
      };
  }
}

function plain(
  what: string,
  details: readonly string[] = [],
  photos: readonly string[] = [],
): EntryWords {
  return { what, details, tone: 'plain', photos };
}

function stopped(what: string): EntryWords {
  return { what, details: [], tone: 'stopped', photos: [] };
}

function note(what: string): EntryWords {
  return { what, details: [], tone: 'note', photos: [] };
}

function clockSays({ what, seconds }: EventBodies['clock.noted']): string {
  if (what !== 'office') return m.entry_clock({ seconds });
  if (seconds === 0) return m.entry_clock_agrees();
  const time = duration(Math.abs(seconds) * 1000);
  return seconds > 0 ? m.entry_clock_ahead({ time }) : m.entry_clock_behind({ time });
}
