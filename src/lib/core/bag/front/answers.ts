/** The first page: the answers, before anything that supports them. */
import { el, list, phrase, typed, written } from './html.ts';
import type { Content } from './html.ts';
import { ofKind } from './story.ts';
import type { Ending, PersonStory } from './story.ts';
import {
  endLabel,
  meterText,
  moment,
  pointLabel,
  privately,
  readingText,
  sayOf,
  separated,
  sourceLabel,
  time,
} from './telling.ts';
import type { Telling } from './telling.ts';

export function answers(telling: Telling): Content {
  const { words } = telling;
  const rows: readonly (readonly [string, Content])[] = [
    [words.what, whatOf(telling)],
    [words.where, privately(telling, telling.story.site)],
    [words.when, whenOf(telling)],
    [words.who, list(telling.story.people.map((person) => whoOf(telling, person)))],
    [words.isolated, isolatedOf(telling)],
    [words.caseTested, caseOf(telling)],
    [words.proved, provedOf(telling)],
    [words.found, foundOf(telling)],
    [words.decided, decidedOf(telling)],
    [words.connectors, connectorsOf(telling)],
    [words.tested, testedOf(telling)],
    [words.left, leftOf(telling, telling.story.ending)],
    [words.told, toldOf(telling)],
    [words.exceptions, exceptionsOf(telling)],
  ];
  const shown = rows.filter(([, answer]) => answer !== null);
  return el(
    'section',
    { 'aria-labelledby': 'in-short' },
    el('h2', { id: 'in-short' }, words.inShort),
    el(
      'dl',
      {},
      shown.map(([name, answer]) => el('div', {}, el('dt', {}, name), el('dd', {}, answer))),
    ),
  );
}

function whatOf({ input, words }: Telling): Content {
  const { id, revision } = input.checklist;
  const { title, scope } = input.shown ?? input.checklist;
  return [
    el('p', {}, el('strong', {}, typed(title))),
    el('p', {}, typed(scope)),
    el('p', {}, phrase(words.checklistLine, { id: typed(id), revision })),
    input.events.map((event, seq) =>
      event.type === 'job.rebased'
        ? el(
            'p',
            {},
            phrase(words.checklistLater, { seq, revision: event.body.checklist.revision }),
          )
        : null,
    ),
  ];
}

function whenOf({ input, story, words }: Telling): Content {
  const [from, to] = [time(story.opened.at), time(story.last.at)];
  return phrase(words.whenLine, { from, to, count: input.events.length });
}

function whoOf(telling: Telling, person: PersonStory): Content {
  const { words } = telling;
  const named = person.name.state === 'none' ? [] : [' (', privately(telling, person.name), ')'];
  const parts: Content[] = [
    [el('strong', {}, typed(person.id)), ...named],
    person.competence.length === 0
      ? words.noCompetence
      : phrase(words.competence, { list: typed(person.competence.join(', ')) }),
  ];
  if (person.joined.seq > 0) parts.push(phrase(words.joinedAt, { at: time(person.joined.at) }));
  if (person.hand === 'code') parts.push(words.joinedByCode);
  if (person.hand === 'pin') parts.push(words.joinedByPin);
  if (person.left !== null) parts.push(phrase(words.leftAt, { at: time(person.left.at) }));
  return separated(parts, '; ');
}

function isolatedOf(telling: Telling): Content {
  const { story, words } = telling;
  const lines = ofKind(story, 'isolate', 'lock').map(({ step, result, moment: when }): Content => {
    if (step.do !== 'isolate' && step.do !== 'lock') return null;
    const point = pointLabel(telling, step.source, step.point);
    const at = moment(telling, when);
    if (step.do === 'isolate') {
      const source = sourceLabel(telling, step.source);
      const operated = typed(result.operated ?? '');
      return phrase(words.isolatedLine, { point, source, operated, moment: at });
    }
    const lock = typed(result.lock ?? '');
    if (result.lock) return phrase(words.lockLine, { lock, by: typed(when.by), point, moment: at });
    const [tag, measure] = [typed(result.tag ?? ''), typed(result.measure ?? '')];
    return phrase(words.tagLine, { tag, measure, point, moment: at });
  });
  return lines.length === 0 ? words.nothingIsolated : list(lines);
}

function caseOf(telling: Telling): Content {
  const lines = ofKind(telling.story, 'case').map(({ step, result, moment: when }): Content => {
    if (step.do !== 'case') return null;
    const read = readingText(telling, result);
    return [sourceLabel(telling, step.source), ': ', read, ', ', moment(telling, when)];
  });
  return lines.length === 0 ? null : list(lines);
}

function provedOf(telling: Telling): Content {
  const { story, words } = telling;
  const lines = ofKind(story, 'prove').map(({ step, checklist, result, moment: when }): Content => {
    if (step.do !== 'prove') return null;
    const source = checklist.sources[step.source];
    const lasts = step.keeps?.for ?? source?.keeps?.for;
    const keeps =
      lasts === undefined ? words.keepsOpen : phrase(words.keepsFor, { for: typed(lasts) });
    const line = phrase(words.provedLine, {
      source: sourceLabel(telling, step.source),
      moment: moment(telling, when),
      instrument: typed(result.instrument ?? ''),
      below: typed(source?.dead?.below ?? ''),
      keeps,
    });
    const checks = [
      meterText(words.meterBefore, result.before),
      meterText(words.meterAfter, result.after),
      readingText(telling, { pairs: result.pairs ?? {} }),
    ].filter((one) => one !== null);
    return [line, list([separated(checks, '; ')])];
  });
  return lines.length === 0 ? words.nothingProved : list(lines);
}

function foundOf({ story, words }: Telling): Content {
  const read = ofKind(story, 'reading', 'contacts');
  if (read.length === 0) return words.noReadings;
  const count = (...verdicts: readonly string[]): number =>
    read.filter(({ result }) => verdicts.includes(result.verdict ?? '')).length;
  const [pass, fail] = [count('pass'), count('fail')];
  return phrase(words.foundLine, { pass, fail, cannotTell: read.length - pass - fail });
}

function decidedOf(telling: Telling): Content {
  const { input, story, words } = telling;
  const choices = ofKind(story, 'choose').map(({ step, result, moment: when }): Content => {
    if (step.do !== 'choose') return null;
    const option = result.option ?? '';
    const shown = input.shown?.steps[step.id]?.options?.[option] ?? step.options[option] ?? option;
    return [typed(shown), ', ', moment(telling, when)];
  });
  // What hangs on a decision and was then done: the part that was fitted, the part that was not.
  const followed = story.done
    .filter(({ step }) => step.when !== undefined && step.do === 'confirm')
    .map(({ step, moment: when }): Content => {
      const states = step.do === 'confirm' ? step.states : step.say;
      const shown = input.shown?.steps[step.id]?.states ?? states;
      return [typed(shown), ', ', moment(telling, when)];
    });
  const lines = [...choices, ...followed];
  return lines.length === 0 ? words.nothingDecided : list(lines);
}

function connectorsOf(telling: Telling): Content {
  const { input, story, words } = telling;
  const { connectors } = story;
  const closed = connectors.filter(({ on }) => on !== null).length;
  const opened = ofKind(story, 'open').length;
  const shut = ofKind(story, 'close').length;
  const lines: Content[] = [
    connectors.length === 0
      ? words.noConnectors
      : el('strong', {}, phrase(words.connectorsLine, { closed, all: connectors.length })),
  ];
  if (Object.keys(input.checklist.ends).length > 0) {
    lines.push(phrase(words.coversLine, { closed: Math.min(shut, opened), all: opened }));
  }
  return list(lines);
}

function testedOf(telling: Telling): Content {
  const { story, words } = telling;
  const after = story.done.filter(
    ({ step }) =>
      (step.phase === 'restore' || step.phase === 'finish') &&
      (step.do === 'reading' || step.do === 'case' || step.do === 'confirm'),
  );
  const lines = after.map(({ step, result, moment: when }): Content => {
    const stated = telling.input.shown?.steps[step.id]?.states;
    const said = step.do === 'confirm' ? typed(stated ?? step.states) : sayOf(telling, step);
    const parts = [said, readingText(telling, result), moment(telling, when)];
    return separated(
      parts.filter((part) => written(part) !== ''),
      '; ',
    );
  });
  return lines.length === 0 ? words.nothingTested : list(lines);
}

function leftOf(telling: Telling, ending: Ending): Content {
  const { words } = telling;
  const at = moment(telling, ending.moment);
  const lines: Content[] = [el('strong', {}, endingLine(telling, ending, at))];
  if (ending.kind === 'parked') {
    const [told, owner] = [privately(telling, ending.told), privately(telling, ending.owner)];
    lines.push(phrase(words.toldLine, { told, owner }));
  }
  for (const { end, insulated, why } of ending.left) {
    lines.push(
      phrase(words.leftOpen, {
        end: endLabel(telling, end),
        insulated: insulated ? words.insulated : words.notInsulated,
        why: typed(why),
      }),
    );
  }
  return list(lines);
}

function endingLine({ words }: Telling, ending: Ending, at: Content): Content {
  switch (ending.kind) {
    case 'handedBack':
      return phrase(words.handedBack, { moment: at });
    case 'refused':
      return phrase(words.refusedEnd, { moment: at, why: typed(ending.why ?? '') });
    case 'evidenceHeld':
      return phrase(words.heldEnd, { moment: at, why: typed(ending.why ?? '') });
    case 'parked': {
      const template = ending.as === 'usable' ? words.parkedUsable : words.parkedShut;
      return phrase(template, { moment: at, until: typed(ending.until) });
    }
    case 'open':
      return phrase(words.openEnd, { moment: at });
  }
}

function toldOf(telling: Telling): Content {
  const { input, story, words } = telling;
  const told = ofKind(story, 'tell').map(({ step, result, moment: when }): Content => {
    const say = sayOf(telling, step);
    const line = phrase(words.toldStep, { say, moment: moment(telling, when) });
    const people = result.told ?? [];
    if (people.length === 0) return line;
    return [line, '; ', phrase(words.toldTo, { people: typed(people.join(', ')) })];
  });
  const declined = input.events.flatMap((event): Content[] => {
    if (event.type !== 'step.notDone' || !event.body.applies) return [];
    const step = input.checklist.steps.find(({ id }) => id === event.body.step);
    const say = step === undefined ? typed(event.body.step) : sayOf(telling, step);
    return [phrase(words.declined, { say, why: typed(event.body.why) })];
  });
  const lines = [...told, ...declined];
  return lines.length === 0 ? words.nothingTold : list(lines);
}

function exceptionsOf({ story, words }: Telling): Content {
  const count = story.exceptions.length;
  return count === 0 ? words.noExceptions : phrase(words.exceptionsCount, { count });
}
