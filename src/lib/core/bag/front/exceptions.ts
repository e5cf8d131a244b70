/** Everything that did not go by the list, one plain sentence each. */
import type { Lapse } from '../../checklist/model.ts';
import type { JobEvent } from '../../job/events.ts';
import { el, phrase, typed } from './html.ts';
import type { Content } from './html.ts';
import { endLabel, moment, privately, separated, sourceLabel, stepById } from './telling.ts';
import type { Telling } from './telling.ts';
import type { Exception } from './story.ts';
import type { FrontWords } from './words.ts';

export function exceptions(telling: Telling): Content {
  const { story, words } = telling;
  const items = story.exceptions.map((exception) =>
    el(
      'li',
      {},
      sentence(telling, exception),
      ' ',
      el('small', {}, moment(telling, exception.moment)),
    ),
  );
  return el(
    'section',
    { 'aria-labelledby': 'exceptions' },
    el('h2', { id: 'exceptions' }, words.exceptions),
    items.length === 0 ? el('p', {}, words.noExceptions) : el('ol', {}, items),
  );
}

function sentence(telling: Telling, exception: Exception): Content {
  const { words } = telling;
  const { event } = exception;
  const step = (id: string): Content => stepById(telling, id);
  switch (event.type) {
    case 'step.done':
      return phrase(words.xLate, {
        step: step(event.body.step),
        acted: typed(event.body.acted ?? ''),
      });
    case 'step.notDone':
      return phrase(words.xNotDone, { step: step(event.body.step), why: typed(event.body.why) });
    case 'step.corrected':
      return phrase(words.xCorrected, { step: step(event.body.step), why: typed(event.body.why) });
    case 'try.refused': {
      const { codes, command, says } = event.body;
      const what = event.body.step === undefined ? typed(command) : step(event.body.step);
      const because = typed(says.join(' '));
      return phrase(words.xRefused, { codes: codes.join(', '), what, says: because });
    }
    case 'fact.lapsed': {
      const { what, steps } = event.body;
      const lapse = lapseText(words, what);
      if (steps.length === 0) return phrase(words.xLapsedNothing, { what: lapse });
      const quoted = steps.map((id) => phrase(words.quoted, { step: step(id) }));
      return phrase(words.xLapsed, { what: lapse, steps: separated(quoted, ', ') });
    }
    case 'window.opened': {
      const { source, minutes, reason, readBack } = event.body;
      return phrase(words.xWindowOpened, {
        source: sourceLabel(telling, source),
        minutes,
        reason: typed(reason),
        readBack: typed(readBack),
      });
    }
    case 'window.closed': {
      const { source, unexpected } = event.body;
      const template = unexpected ? words.xWindowUnexpected : words.xWindowClosed;
      return phrase(template, { source: sourceLabel(telling, source) });
    }
    case 'job.parked':
      return parked(telling, exception, event.body);
    case 'job.resumed':
      return words.xResumed;
    case 'job.handedOver':
      return phrase(words.xHandedOver, { from: typed(event.body.from), to: typed(event.body.to) });
    case 'job.rebased': {
      const { checklist, edits, why } = event.body;
      const changes = edits.map(({ at, to }) => {
        const where = typed(at.join(' › '));
        const told = typed(typeof to === 'string' ? to : JSON.stringify(to));
        return to === undefined
          ? phrase(words.xRebasedGone, { where })
          : phrase(words.xRebasedSet, { where, to: told });
      });
      const args = { revision: checklist.revision, why: typed(why) };
      return phrase(words.xRebased, { ...args, changes: separated(changes, '; ') });
    }
    case 'lock.removedFor': {
      const { lock, owner, away, tried, informed, authorizedBy } = event.body;
      return phrase(words.xLockRemoved, {
        lock: typed(lock),
        owner: typed(owner),
        away: typed(away),
        tried: typed(tried.join('; ')),
        informed: typed(informed),
        authorizedBy: typed(authorizedBy),
      });
    }
    case 'tingle':
      return phrase(words.xTingle, { what: typed(event.body.what) });
    case 'nearMiss':
      return phrase(words.xNearMiss, { what: typed(event.body.what) });
    case 'tools.down':
      return phrase(words.xToolsDown, { why: typed(event.body.why) });
    case 'job.refused':
      return phrase(words.xJobRefused, { why: typed(event.body.why) });
    case 'evidence.held':
      return phrase(words.xEvidenceHeld, { why: typed(event.body.why) });
    case 'clock.noted':
      return clock(telling, event.body);
    case 'program.noted':
      return phrase(words.xProgram, { what: typed(event.body.what) });
    case 'disclosure.erased':
      return phrase(words.xErased, {
        digest: typed(event.body.digest),
        why: typed(event.body.why),
      });
    case 'key.rotated':
      return phrase(words.xKeyRotated, {
        person: typed(event.body.person),
        key: typed(event.body.key),
      });
    default:
      return typed(event.type);
  }
}

function lapseText(words: FrontWords, what: Lapse): string {
  return {
    time: words.lapseTime,
    leftSight: words.lapseLeftSight,
    panelTouched: words.lapsePanelTouched,
    reEnergized: words.lapseReEnergized,
    moved: words.lapseMoved,
    instrumentDoubt: words.lapseInstrumentDoubt,
    joined: words.lapseJoined,
    parked: words.lapseParked,
    resumed: words.lapseResumed,
    handedOver: words.lapseHandedOver,
    windowOpened: words.lapseWindowOpened,
  }[what];
}

type BodyOf<T extends JobEvent['type']> = Extract<JobEvent, { type: T }>['body'];

function parked(telling: Telling, exception: Exception, body: BodyOf<'job.parked'>): Content {
  const { words } = telling;
  const line = phrase(words.xParked, { as: body.as, until: typed(body.until) });
  const told = exception.told.state === 'none' ? null : privately(telling, exception.told);
  const left = body.left.map(({ end, insulated, why }) =>
    phrase(words.leftOpen, {
      end: endLabel(telling, end),
      insulated: insulated ? words.insulated : words.notInsulated,
      why: typed(why),
    }),
  );
  return separated([line, ...(told === null ? [] : [[words.told, ': ', told]]), ...left], ' ');
}

function clock({ words }: Telling, { what, seconds }: BodyOf<'clock.noted'>): Content {
  const template = {
    wallBack: words.xClockBack,
    wallAhead: words.xClockAhead,
    restart: words.xRestart,
    office: seconds < 0 ? words.xOfficeBehind : words.xOfficeAhead,
  }[what];
  return phrase(template, { seconds: Math.abs(seconds) });
}
