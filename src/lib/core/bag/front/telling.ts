/** Small pieces that every section of the front page says in the same way. */
import type { Accept, LimitOrigin, Step } from '../../checklist/model.ts';
import type { MeterCheck, StepResult } from '../../job/events.ts';
import type { FrontInput } from './front-input.ts';
import { el, phrase, typed } from './html.ts';
import type { Content } from './html.ts';
import type { Moment, Private, Story } from './story.ts';
import type { FrontWords } from './words.ts';

/** What a section is made from. */
export interface Telling {
  readonly input: FrontInput;
  readonly story: Story;
  readonly words: FrontWords;
}

/** `2026-11-25T10:42:07.120-05:00` as `2026-11-25 10:42:07 -05:00`. */
export function timeText(at: string): string {
  const zone = /(Z|[+-]\d\d:\d\d)$/.exec(at)?.[0] ?? '';
  return `${at.slice(0, 10)} ${at.slice(11, 19)} ${zone === 'Z' ? '+00:00' : zone}`;
}

export function time(at: string): Content {
  return el('time', { datetime: at }, timeText(at));
}

/** The day and the offset that the page names once at its head. */
export function dayOf(at: string): { readonly day: string; readonly zone: string } {
  const [day = '', , zone = ''] = timeText(at).split(' ');
  return { day, zone };
}

function sameDay(at: string, page: string): boolean {
  // Nearly always both are written alike: the same day in front and the same offset at the end.
  if (at.slice(0, 10) === page.slice(0, 10) && at.slice(-6) === page.slice(-6)) return true;
  const [own, opened] = [dayOf(at), dayOf(page)];
  return own.day === opened.day && own.zone === opened.zone;
}

/** Only the time of day where day and offset are those of the page; all of it elsewhere. */
function shortTime({ story }: Telling, at: string): Content {
  const same = sameDay(at, story.opened.at);
  return el('time', { datetime: at }, same ? at.slice(11, 19) : timeText(at));
}

export function moment(telling: Telling, { seq, at, by, acted }: Moment): Content {
  const { words } = telling;
  const told = phrase(words.moment, { at: shortTime(telling, at), by: typed(by), seq });
  if (acted === undefined) return told;
  return [told, '; ', phrase(words.lateEntry, { acted: typed(acted) })];
}

export function privately({ words }: Telling, value: Private): Content {
  if (value.state === 'shown') return typed(value.value);
  if (value.state === 'none') return words.notStated;
  return value.state === 'erased' ? words.erased : words.withheld;
}

/** What a step said on the screen. */
export function sayOf({ input }: Telling, step: Step): Content {
  return typed(input.shown?.steps[step.id]?.say ?? step.say);
}

export function stepById(telling: Telling, id: string): Content {
  const step = telling.input.checklist.steps.find((one) => one.id === id);
  return step === undefined ? typed(id) : sayOf(telling, step);
}

export function sourceLabel({ input }: Telling, id: string): Content {
  return typed(input.shown?.sources[id] ?? input.checklist.sources[id]?.label ?? id);
}

export function pointLabel({ input }: Telling, source: string, point: string): Content {
  const label = input.checklist.sources[source]?.points?.[point]?.label;
  return typed(input.shown?.points[`${source}.${point}`] ?? label ?? point);
}

export function endLabel({ input, story }: Telling, id: string): Content {
  const connector = story.connectors.find((one) => one.id === id);
  const end = input.shown?.ends[id] ?? input.checklist.ends[id]?.label;
  return typed(end ?? connector?.label ?? id);
}

export function meterText(template: string, check: MeterCheck | undefined): Content {
  if (check === undefined) return null;
  const { shown, expected, unit } = check;
  return phrase(template, { shown: typed(shown), expected: typed(expected), unit: typed(unit) });
}

/** What was read, as entered. */
export function readingText({ words }: Telling, result: StepResult): Content {
  const parts: Content[] = [];
  if (result.value !== undefined) parts.push(typed(`${result.value} ${result.unit ?? ''}`.trim()));
  for (const [pair, { value, unit }] of Object.entries(result.pairs ?? {})) {
    parts.push(typed(`${pair} ${value} ${unit}`));
  }
  if (result.rest !== undefined && result.pressed !== undefined) {
    parts.push(phrase(words.atRest, { rest: typed(result.rest), pressed: typed(result.pressed) }));
  }
  return separated(parts, '; ');
}

export function limitText({ words }: Telling, accept: Accept | undefined): Content {
  if (accept === undefined) return words.noLimit;
  if ('open' in accept) return words.openCircuit;
  if ('element' in accept) {
    const { volts, watts } = accept.element;
    return phrase(words.elementLimit, { volts: typed(volts), watts: typed(watts) });
  }
  if ('pairs' in accept) {
    const pairs = Object.entries(accept.pairs).map(([pair, range]) => {
      return [typed(pair), ' ', rangeText(words, range)];
    });
    return separated(pairs, '; ');
  }
  return rangeText(words, accept);
}

function rangeText(
  words: FrontWords,
  { least, most }: { readonly least?: string; readonly most?: string },
): Content {
  const parts: Content[] = [];
  if (least !== undefined) parts.push(phrase(words.atLeast, { value: typed(least) }));
  if (most !== undefined) parts.push(phrase(words.atMost, { value: typed(most) }));
  return separated(parts, ', ');
}

export function separated(parts: readonly Content[], by: string): Content {
  return parts.map((part, at) => (at === 0 ? part : [by, part]));
}

/** Where a limit comes from, in words; nothing where there is no limit. */
export function originText(words: FrontWords, origin: LimitOrigin | undefined): string {
  if (origin === undefined) return words.originDefault;
  return {
    code: words.originCode,
    maker: words.originMaker,
    house: words.originHouse,
    default: words.originDefault,
  }[origin];
}

export function verdictText(words: FrontWords, verdict: string | undefined): Content {
  if (verdict === 'pass') return words.pass;
  if (verdict === 'fail') return el('strong', {}, words.fail);
  return verdict === undefined ? '' : words.cannotTell;
}
