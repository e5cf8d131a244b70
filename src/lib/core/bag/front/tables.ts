/** The tables of the front page: readings against limits, connectors, photos, instruments, the sheet. */
import type { Checklist, Step } from '../../checklist/model.ts';
import { el, phrase, table, typed } from './html.ts';
import type { Content } from './html.ts';
import { ofKind } from './story.ts';
import type { ConnectorStory } from './story.ts';
import {
  limitText,
  moment,
  originText,
  readingText,
  sayOf,
  separated,
  verdictText,
} from './telling.ts';
import type { Telling } from './telling.ts';

function section(id: string, heading: string, content: Content): Content {
  if (content === null) return null;
  return el('section', { 'aria-labelledby': id }, el('h2', { id }, heading), content);
}

export function readings(telling: Telling): Content {
  const { story, words } = telling;
  const rows = ofKind(story, 'reading', 'contacts', 'release').map(
    ({ step, checklist, result, moment: when }): readonly Content[] => {
      const { limit, origin } = limitOf(telling, step, checklist);
      const { low, high, says } = result;
      const band = low === undefined || high === undefined ? '' : ` (${low} … ${high})`;
      const verdict = verdictText(words, result.verdict);
      return [
        moment(telling, when),
        sayOf(telling, step),
        [readingText(telling, result), typed(band)],
        limit,
        origin,
        [verdict, says === undefined ? '' : [': ', typed(says)]],
        typed(result.instrument ?? ''),
      ];
    },
  );
  const heads = [
    words.time,
    words.step,
    words.reading,
    words.limit,
    words.origin,
    words.verdict,
    words.with,
  ];
  return section('readings', words.readings, table({ headed: 'readings' }, heads, rows));
}

function limitOf(
  telling: Telling,
  step: Step,
  checklist: Checklist,
): { readonly limit: Content; readonly origin: Content } {
  const { words } = telling;
  if (step.do === 'reading') {
    const origin = step.accept === undefined ? '' : originText(words, step.limit);
    return { limit: limitText(telling, step.accept), origin };
  }
  const source = step.do === 'release' ? checklist.sources[step.source] : undefined;
  const release = source?.release;
  if (release === undefined) return { limit: '', origin: '' };
  const [kind] = Object.values(release);
  const limit = 'below' in kind ? `< ${kind.below}` : kind.states;
  return { limit: typed(limit), origin: originText(words, kind.limit) };
}

export function connectors(telling: Telling): Content {
  const { story, words } = telling;
  const rows = story.connectors.map((one): readonly Content[] => [
    typed(one.label),
    typed(one.terminal),
    typed(one.wire ?? ''),
    moment(telling, one.off),
    one.on === null ? el('strong', {}, words.stillOff) : moment(telling, one.on),
    pictures(telling, one.before, one),
    pictures(telling, one.after, one),
  ]);
  const heads = [
    words.label,
    words.terminal,
    words.wire,
    words.off,
    words.on,
    words.before,
    words.after,
  ];
  return section('connectors', words.connectorTable, table({ headed: 'connectors' }, heads, rows));
}

function pictures(telling: Telling, digests: readonly string[], of: ConnectorStory): Content {
  return digests.map((digest) => photo(telling, digest, of.label));
}

/** The photo beside this page, or what became of it. */
function photo({ input, words }: Telling, digest: string, step: string): Content {
  const change = input.photoChanges.find(({ sha256 }) => sha256 === digest);
  const file = change === undefined ? digest : change.shownAs;
  const short = digest.slice(0, 12);
  if (file === undefined) return el('p', {}, phrase(words.photoWithheld, { digest: short }));
  if (!input.photos.has(file)) return el('p', {}, phrase(words.photoErased, { digest: short }));
  const alt = words.photoAlt.replace('{digest}', short).replace('{step}', step);
  const image = el('img', { src: `photos/${file}.jpg`, alt, width: 240, loading: 'lazy' });
  const note = change === undefined ? null : phrase(words.photoBlurred, { digest: short });
  return el(
    'figure',
    {},
    image,
    el('figcaption', {}, typed(short), note === null ? null : [' ', note]),
  );
}

/** Photos that no connector shows. */
export function photos(telling: Telling): Content {
  const { story, words } = telling;
  const shown = new Set(story.connectors.flatMap(({ before, after }) => [...before, ...after]));
  const others = story.done.flatMap(({ step, result, moment: when }) =>
    (result.photos ?? [])
      .filter((digest) => !shown.has(digest))
      .map((digest) =>
        el(
          'li',
          {},
          photo(telling, digest, step.id),
          sayOf(telling, step),
          ' ',
          moment(telling, when),
        ),
      ),
  );
  if (others.length === 0) return null;
  return section('photos', words.photos, el('ul', { class: 'photos' }, others));
}

export function instruments(telling: Telling): Content {
  const { story, words } = telling;
  const rows = story.instruments.map((one): readonly Content[] => [
    typed(one.id),
    typed(`${one.category} ${one.volts}`),
    typed(one.due),
    phrase(words.counts, { percent: typed(one.percent), counts: one.counts }),
  ]);
  const heads = [words.instrument, words.category, words.due, words.accuracy];
  return section('instruments', words.instruments, table({ headed: 'instruments' }, heads, rows));
}

/** Every step of the checklist and what became of it. */
export function sheet(telling: Telling): Content {
  const { input, words } = telling;
  const rows = input.checklist.steps.map((step): readonly Content[] => [
    sayOf(telling, step),
    stateOf(telling, step),
  ]);
  return section('sheet', words.sheet, table({ headed: 'sheet' }, [words.step, words.state], rows));
}

function stateOf(telling: Telling, step: Step): Content {
  const { input, story, words } = telling;
  const done = story.done.filter((one) => one.step.id === step.id);
  if (done.length > 0) {
    const moments = done.map((one) => moment(telling, one.moment));
    return [words.stateDone, ': ', separated(moments, '; ')];
  }
  const event = input.events.findLast(
    (one) => one.type === 'step.notDone' && one.body.step === step.id,
  );
  if (event?.type !== 'step.notDone') return words.stateOpen;
  const template = event.body.applies ? words.stateNotDone : words.stateNotApplicable;
  return phrase(template, { why: typed(event.body.why) });
}
