/** Every name that is used stands for something in the same file, and earlier where it must. */
import { hint } from './closest.ts';
import { isBlock, type Draft, type DraftStep } from './draft.ts';
import { PHASES } from './model.ts';
import type { Path, Problems } from './place.ts';
import { MOST_NAMES } from './schema.ts';

export function checkNames(draft: Draft, problems: Problems): void {
  checkStepIds(draft, problems);
  checkPhases(draft, problems);
  for (const step of draft.steps) {
    checkEnergies(step, draft, problems);
    checkEarlier(step, draft, problems);
  }
  checkFeeds(draft, problems);
  checkCounts(draft, problems);
}

function must(
  name: string,
  known: readonly string[],
  what: string,
  path: Path,
  problems: Problems,
): void {
  if (name === '' || known.includes(name)) return;
  problems.atValue(path, `There is no ${what} “${name}”${hint(name, known)}`);
}

function checkStepIds(draft: Draft, problems: Problems): void {
  const seen = new Set<string>();
  for (const { id, path } of draft.steps) {
    if (id !== '' && seen.has(id)) {
      problems.atValue([...path, 'id'], `The id ${id} is taken by a step above; choose another.`);
    }
    seen.add(id);
  }
}

function checkPhases(draft: Draft, problems: Problems): void {
  let latest = 0;
  for (const { phase, path } of draft.steps) {
    if (phase === '') continue;
    const at = PHASES.indexOf(phase);
    if (at < latest) {
      const reached = PHASES[latest] ?? '';
      const says = `The phase ${phase} comes before ${reached}, which the steps above have reached; move this step up.`;
      problems.atValue([...path, 'phase'], says);
    }
    latest = Math.max(latest, at);
  }
}

function checkEnergies(step: DraftStep, draft: Draft, problems: Problems): void {
  const sources = draft.sources.map((source) => source.id);
  must(step.source, sources, 'source', [...step.path, 'source'], problems);
  const points = draft.sources.find(({ id }) => id === step.source)?.points.map(({ id }) => id);
  if (points !== undefined) {
    must(step.point, points, `point of ${step.source}`, [...step.path, 'point'], problems);
  }
  must(step.end, draft.ends, 'end', [...step.path, 'end'], problems);
  listed(step, 'exposes', sources, 'source', problems);
  listed(step, 'stillOpen', draft.ends, 'end', problems);
}

/** Each text of a list of the step; the index of the list as written, so that the place is right. */
function listed(
  step: DraftStep,
  key: 'exposes' | 'stillOpen' | 'allows',
  known: readonly string[],
  what: string,
  problems: Problems,
): void {
  const written = step.raw[key];
  if (!Array.isArray(written)) return;
  written.forEach((name, at) => {
    if (typeof name === 'string') must(name, known, what, [...step.path, key, at], problems);
  });
}

function checkEarlier(step: DraftStep, draft: Draft, problems: Problems): void {
  const earlier = draft.steps.slice(0, step.index);
  const later = draft.steps.slice(step.index).map(({ id }) => id);
  const before = earlier.map(({ id }) => id);
  const mustBeEarlier = (id: string, path: Path, where: 'atKey' | 'atValue') => {
    if (before.includes(id)) return;
    const says = later.includes(id)
      ? `The step ${id} comes later (or is this one); only a step above can be asked for.`
      : `There is no step “${id}” above${hint(id, before)}`;
    problems[where](path, says);
  };
  step.needs.forEach((id, at) => mustBeEarlier(id, [...step.path, 'needs', at], 'atValue'));
  for (const [id, outcomes] of Object.entries(step.when)) {
    const path = [...step.path, 'when', id];
    const chosen = earlier.find((other) => other.id === id);
    if (chosen === undefined) mustBeEarlier(id, path, 'atKey');
    else if (chosen.do !== 'choose' && chosen.do !== '') {
      problems.atKey(
        path,
        `The step ${id} does “${chosen.do}”; only the outcome of a choose step can be asked for.`,
      );
    } else if (chosen.do === 'choose') {
      for (const outcome of outcomes)
        must(outcome, chosen.options, `option of ${id}`, path, problems);
    }
  }
  const all = draft.steps.map(({ id }) => id);
  listed(step, 'allows', all, 'step', problems);
}

function checkFeeds(draft: Draft, problems: Problems): void {
  for (const source of draft.sources) {
    const path = ['sources', source.id, 'from'];
    const feeds = draft.sources.filter(({ kind }) => kind === 'electrical').map(({ id }) => id);
    must(source.from, feeds, 'electrical source', path, problems);
    if (source.from !== '' && source.kind !== 'charge') {
      problems.atKey(path, 'Only a charge is filled from another source; take this key away.');
    }
  }
}

/** Every key named `reference`, wherever it stands, is a key of `references`. */
export function checkReferences(draft: Draft, problems: Problems): void {
  checkCited(draft.json, [], draft, problems);
}

function checkCited(value: unknown, path: Path, draft: Draft, problems: Problems): void {
  if (Array.isArray(value)) {
    value.forEach((item, at) => checkCited(item, [...path, at], draft, problems));
  } else if (isBlock(value)) {
    for (const [key, inner] of Object.entries(value)) {
      const below = [...path, key];
      if (key === 'reference' && typeof inner === 'string') {
        must(inner, draft.references, 'reference', below, problems);
      } else checkCited(inner, below, draft, problems);
    }
  }
}

function checkCounts(draft: Draft, problems: Problems): void {
  const points = draft.sources.flatMap((source) => source.points);
  const worn = new Set(
    draft.steps.flatMap(({ on, off, wearing, bare }) => [...on, ...off, ...wearing, ...bare]),
  );
  const sets: readonly [string, number, string][] = [
    ['sources', draft.sources.length, 'sources'],
    ['sources', points.length, 'points of all sources together'],
    ['ends', draft.ends.length, 'ends'],
    ['steps', worn.size, 'things to wear or to take off'],
  ];
  for (const [key, count, what] of sets) {
    if (count > MOST_NAMES) {
      problems.atKey(
        [key],
        `There are ${count} ${what}; ${MOST_NAMES} is the most that a job can follow.`,
      );
    }
  }
}
