/** The timeline as inline SVG: a band for each source, marks for steps, refusals and lapses. */
import type { JobEvent } from '../../job/events.ts';
import { instantOf } from '../../record/instant.ts';
import { bandsOf } from './bands.ts';
import type { BandState, SourceBands } from './bands.ts';
import { el, phrase, table, typed, written } from './html.ts';
import type { Content, Html } from './html.ts';
import { time, timeText } from './telling.ts';
import type { Telling } from './telling.ts';
import type { FrontWords } from './words.ts';

const WIDTH = 960;
const LEFT = 236;
const RIGHT = 16;
const ROW = 34;
const HEIGHT = 18;
const TOP = 12;

/** Said three ways: colour, pattern, and the word in the legend and in the bar. */
const LOOKS: Readonly<
  Record<BandState, { readonly fill: string; readonly word: keyof FrontWords }>
> = {
  live: { fill: '#b3261e', word: 'bandLive' },
  present: { fill: '#b3261e', word: 'bandPresent' },
  window: { fill: 'url(#hatch-window)', word: 'bandWindow' },
  unknown: { fill: 'url(#hatch-unknown)', word: 'bandUnknown' },
  cut: { fill: '#ffffff', word: 'bandCut' },
  dead: { fill: '#1b6e3c', word: 'bandDead' },
  released: { fill: '#1b6e3c', word: 'bandReleased' },
};

export function timeline(telling: Telling): Content {
  const { words } = telling;
  const sources = bandsOf(telling.input);
  return el(
    'section',
    { 'aria-labelledby': 'timeline' },
    el('h2', { id: 'timeline' }, words.timeline),
    drawing(telling, sources),
    legend(words),
    inWords(telling, sources),
  );
}

/** Whole pixels from the left for each entry; entries of one instant share a place. */
function places(telling: Telling): number[] {
  const times = telling.input.events.map(({ at }) => instantOf(at)?.ms ?? 0);
  // A clock set back must not draw time running backwards: such an entry stands where time had got to.
  let latest = times[0] ?? 0;
  const forward = times.map((ms) => (latest = Math.max(latest, ms)));
  const [first, last] = [forward[0] ?? 0, forward.at(-1) ?? 0];
  const span = Math.max(1, last - first);
  return forward.map((ms) => LEFT + Math.round(((ms - first) / span) * (WIDTH - LEFT - RIGHT)));
}

function drawing(telling: Telling, sources: readonly SourceBands[]): Html {
  const { story, words } = telling;
  const at = places(telling);
  const height = TOP + sources.length * ROW + 44;
  const alt = written(
    phrase(words.timelineAlt, { from: timeText(story.opened.at), to: timeText(story.last.at) }),
  );
  return el(
    'svg',
    { viewBox: `0 0 ${WIDTH} ${height}`, role: 'img', 'aria-label': unescaped(alt), width: WIDTH },
    patterns(),
    sources.map((source, row) => bandRow(source, row, at)),
    marks(telling, at, TOP + sources.length * ROW + 10),
    axis(telling, TOP + sources.length * ROW + 38),
  );
}

/** The label is made of our words and times only; `el` escapes it once more. */
function unescaped(text: string): string {
  return text.replaceAll('&#39;', "'").replaceAll('&amp;', '&');
}

function patterns(): Html {
  const stripes = (id: string, ink: string, paper: string): Html =>
    el(
      'pattern',
      { id, width: 8, height: 8, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' },
      el('rect', { width: 8, height: 8, fill: paper }),
      el('rect', { width: 4, height: 8, fill: ink }),
    );
  return el(
    'defs',
    {},
    stripes('hatch-window', '#b3261e', '#ffd7d3'),
    stripes('hatch-unknown', '#5a5a5a', '#e4e4e4'),
  );
}

function bandRow({ label, bands }: SourceBands, row: number, at: readonly number[]): Content {
  const y = TOP + row * ROW;
  const end = WIDTH - RIGHT;
  return [
    el('text', { x: 0, y: y + 13, 'font-size': 13 }, typedText(label, 30)),
    bands.map((band, index) => {
      const x = at[band.from] ?? LEFT;
      const next = bands[index + 1];
      const to = next === undefined ? end : (at[next.from] ?? end);
      return el('rect', {
        x,
        y,
        width: Math.max(1, to - x),
        height: HEIGHT,
        fill: LOOKS[band.state].fill,
        stroke: '#222222',
      });
    }),
  ];
}

/** SVG has no `bdi`; a long label is cut, it stands in full in the table. */
function typedText(label: string, most: number): string {
  const letters = [...label];
  return letters.length <= most ? label : `${letters.slice(0, most - 1).join('')}…`;
}

/** One mark of a kind for each pixel: more could not be told apart, however long the record. */
function marks({ input }: Telling, at: readonly number[], y: number): Content {
  const drawn = new Set<string>();
  return input.events.map((event, seq) => {
    const x = at[seq] ?? LEFT;
    const kind = MARKS[event.type];
    if (kind === undefined || drawn.has(`${kind}${x}`)) return null;
    drawn.add(`${kind}${x}`);
    return mark(kind, x, y);
  });
}

type Mark = 'step' | 'refused' | 'lapse';

const MARKS: Readonly<Partial<Record<JobEvent['type'], Mark>>> = {
  'step.done': 'step',
  'try.refused': 'refused',
  'fact.lapsed': 'lapse',
  'clock.noted': 'lapse',
};

function mark(kind: Mark, x: number, y: number): Html {
  switch (kind) {
    case 'step':
      return el('line', { x1: x, x2: x, y1: y - 5, y2: y + 5, stroke: '#222222' });
    case 'refused': {
      const d = `M${x - 4} ${y - 4}L${x + 4} ${y + 4}M${x - 4} ${y + 4}L${x + 4} ${y - 4}`;
      return el('path', { d, stroke: '#b3261e', 'stroke-width': 2, fill: 'none' });
    }
    case 'lapse': {
      const points = `${x},${y - 5} ${x + 5},${y + 4} ${x - 5},${y + 4}`;
      return el('polygon', { points, fill: '#ffffff', stroke: '#222222' });
    }
  }
}

function axis({ story }: Telling, y: number): Content {
  const text = (x: number, anchor: string, at: string): Html =>
    el('text', { x, y, 'font-size': 12, 'text-anchor': anchor }, timeText(at));
  return [text(LEFT, 'start', story.opened.at), text(WIDTH - RIGHT, 'end', story.last.at)];
}

function legend(words: FrontWords): Content {
  const swatch = (fill: string): Html =>
    el(
      'svg',
      { viewBox: '0 0 24 12', width: 24, height: 12, 'aria-hidden': 'true' },
      el('rect', { x: 1, y: 1, width: 22, height: 10, fill, stroke: '#222222' }),
    );
  const fills = [...new Set(Object.values(LOOKS).map(({ fill }) => fill))];
  return el(
    'ul',
    { class: 'legend' },
    fills.map((fill) => {
      const same = Object.values(LOOKS).filter((look) => look.fill === fill);
      return el('li', {}, swatch(fill), ` ${same.map(({ word }) => words[word]).join(' / ')}`);
    }),
    el('li', {}, `| ${words.markStep}`),
    el('li', {}, `× ${words.markRefused}`),
    el('li', {}, `△ ${words.markLapse}`),
  );
}

function inWords({ input, words }: Telling, sources: readonly SourceBands[]): Content {
  const rows = sources.flatMap(({ label, bands }) =>
    bands.map(({ state, from }): readonly Content[] => [
      typed(label),
      words[LOOKS[state].word],
      [time(input.events[from]?.at ?? ''), ` [${from}]`],
    ]),
  );
  return table({ caption: words.sourcesInWords }, [words.source, words.state, words.since], rows);
}
