/**
 * The words of a checklist: everything that is read by people and decides nothing. A translation has
 * the same shape and other words; ids, numbers, limits and citations stay with the original.
 */
import type { Checklist, Release, Source, Step } from './model.ts';

export type Words = string | readonly Words[] | { readonly [key: string]: Words };

type Block = { readonly [key: string]: Words };

/** Only what is there: a key without words is no key. */
function block(entries: Readonly<Record<string, Words | undefined>>): Block {
  return Object.fromEntries(
    Object.entries(entries).filter(
      ([, words]) =>
        words !== undefined && (typeof words === 'string' || Object.keys(words).length > 0),
    ),
  ) as Block;
}

function each<T>(of: Readonly<Record<string, T>>, words: (item: T) => Words | undefined): Block {
  return block(Object.fromEntries(Object.entries(of).map(([id, item]) => [id, words(item)])));
}

/** Things to wear are named by their words; every one, once. */
export function wornItems(checklist: Checklist): string[] {
  const items = checklist.steps.flatMap((step) => [
    ...(step.do === 'wear' ? [...(step.on ?? []), ...(step.off ?? [])] : []),
    ...(step.wearing ?? []),
    ...(step.bare ?? []),
  ]);
  return [...new Set(items)];
}

function sourceWords(source: Source): Block {
  const { release } = source;
  return block({
    label: source.label,
    points: each(source.points ?? {}, ({ label }) => label),
    states: release && 'stated' in release ? release.stated.states : undefined,
  });
}

function stepWords(step: Step): Block {
  return block({
    say: step.say,
    why: step.why,
    states: step.do === 'confirm' ? step.states : undefined,
    options: step.do === 'choose' ? step.options : undefined,
    reasons: step.do === 'window' ? step.reasons : undefined,
    cautions: step.cautions?.map(({ text }) => text),
    review: step.review,
  });
}

export function wordsOf(checklist: Checklist): Block {
  return block({
    title: checklist.title,
    scope: checklist.scope,
    defer: checklist.defer,
    licensed: checklist.licensed,
    barred: checklist.barred,
    sources: each(checklist.sources, sourceWords),
    ends: each(checklist.ends, ({ label }) => label),
    suspects: each(checklist.suspects ?? {}, ({ label }) => label),
    worn: Object.fromEntries(wornItems(checklist).map((item) => [item, item])),
    steps: Object.fromEntries(checklist.steps.map((step) => [step.id, stepWords(step)])),
  });
}

/** Words at a path of one translation; invariant: the shapes were compared before. */
class Spoken {
  readonly #words: Words | undefined;

  constructor(words: Words | undefined) {
    this.#words = words;
  }

  at(key: string | number): Spoken {
    const words = this.#words;
    return new Spoken(typeof words === 'object' ? (words as Block)[key] : undefined);
  }

  or(original: string): string {
    return typeof this.#words === 'string' ? this.#words : original;
  }

  all(originals: readonly string[]): string[] {
    return originals.map((original, at) => this.at(at).or(original));
  }

  each(originals: Readonly<Record<string, string>>): Record<string, string> {
    return Object.fromEntries(
      Object.entries(originals).map(([key, original]) => [key, this.at(key).or(original)]),
    );
  }
}

function spokenRelease(release: Release, spoken: Spoken): Release {
  if (!('stated' in release)) return release;
  return { stated: { ...release.stated, states: spoken.or(release.stated.states) } };
}

function spokenSource(source: Source, spoken: Spoken): Source {
  const { points, release } = source;
  return {
    ...source,
    label: spoken.at('label').or(source.label),
    ...(points && {
      points: Object.fromEntries(
        Object.entries(points).map(([id, point]) => [
          id,
          { ...point, label: spoken.at('points').at(id).or(point.label) },
        ]),
      ),
    }),
    ...(release && { release: spokenRelease(release, spoken.at('states')) }),
  };
}

function spokenStep(
  step: Step,
  spoken: Spoken,
  worn: (items: readonly string[]) => string[],
): Step {
  const own = {
    ...(step.do === 'confirm' && { states: spoken.at('states').or(step.states) }),
    ...(step.do === 'choose' && { options: spoken.at('options').each(step.options) }),
    ...(step.do === 'window' &&
      step.reasons && { reasons: spoken.at('reasons').all(step.reasons) }),
    ...(step.do === 'wear' && step.on && { on: worn(step.on) }),
    ...(step.do === 'wear' && step.off && { off: worn(step.off) }),
  };
  return {
    ...step,
    ...own,
    say: spoken.at('say').or(step.say),
    ...(step.why !== undefined && { why: spoken.at('why').or(step.why) }),
    ...(step.review !== undefined && { review: spoken.at('review').or(step.review) }),
    ...(step.wearing && { wearing: worn(step.wearing) }),
    ...(step.bare && { bare: worn(step.bare) }),
    ...(step.cautions && {
      cautions: step.cautions.map((caution, at) => ({
        ...caution,
        text: spoken.at('cautions').at(at).or(caution.text),
      })),
    }),
  } as Step;
}

/** The same checklist in other words; a word that is missing stays as it was. */
export function inWords(checklist: Checklist, words: Words, language: string): Checklist {
  const spoken = new Spoken(words);
  const worn = (items: readonly string[]) =>
    items.map((item) => spoken.at('worn').at(item).or(item));
  const labelled = <T extends { readonly label: string }>(
    of: Readonly<Record<string, T>>,
    key: string,
  ) =>
    Object.fromEntries(
      Object.entries(of).map(([id, item]) => [
        id,
        { ...item, label: spoken.at(key).at(id).or(item.label) },
      ]),
    );
  return {
    ...checklist,
    language,
    title: spoken.at('title').or(checklist.title),
    scope: spoken.at('scope').or(checklist.scope),
    defer: spoken.at('defer').or(checklist.defer),
    licensed: spoken.at('licensed').or(checklist.licensed),
    barred: spoken.at('barred').all(checklist.barred),
    sources: Object.fromEntries(
      Object.entries(checklist.sources).map(([id, source]) => [
        id,
        spokenSource(source, spoken.at('sources').at(id)),
      ]),
    ),
    ends: labelled(checklist.ends, 'ends'),
    ...(checklist.suspects && { suspects: labelled(checklist.suspects, 'suspects') }),
    steps: checklist.steps.map((step) => spokenStep(step, spoken.at('steps').at(step.id), worn)),
  };
}
