/** People by their names, where the engine or the record knows them by an id. */
import type { Refusal } from '#lib/core/job/refusal.ts';
import type { JobView } from '#lib/core/job/view-types.ts';

type Seen = {
  readonly people: readonly Pick<JobView['people'][number], 'id' | 'present'>[];
  readonly steps: readonly Pick<JobView['steps'][number], 'id' | 'do' | 'fact'>[];
};

/** Who is here and is not in the roll call that a refused step waits for, by id. */
export function notClearFor(refusal: Pick<Refusal, 'clears'>, view: Seen): readonly string[] {
  const call = view.steps.find(({ id, do: kind }) => kind === 'clear' && refusal.clears[0] === id);
  if (call === undefined) return [];
  const said = call.fact?.result?.people ?? [];
  return view.people.filter(({ id, present }) => present && !said.includes(id)).map(({ id }) => id);
}

/**
 * A sentence of the record with the ids of people, at the places where its sentences name them, as names:
 * at the beginning, and after “of” and “that”.
 */
export function withNames(
  says: string,
  people: readonly { readonly id: string }[],
  nameOf: (person: string) => string,
): string {
  const ids = people.map(({ id }) => id).sort((a, b) => b.length - a.length);
  for (const id of ids) {
    const name = nameOf(id);
    if (says.startsWith(`${id} `)) return name + says.slice(id.length);
    for (const before of [' of ', ' that '])
      if (says.includes(`${before}${id} `))
        return says.replace(`${before}${id} `, () => `${before}${name} `);
  }
  return says;
}
