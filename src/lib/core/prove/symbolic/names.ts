/** A name for each variable, by which an order of them can be kept from one edition of a checklist to the next. */
import orders from './orders.json' with { type: 'json' };
import type { Variables } from './variables.ts';

/** By place. Those of a person end in `@` and the person's place. */
export function namesOf(of: Variables): string[] {
  const names: string[] = Array.from({ length: of.count }, () => '');
  const name = (place: number | undefined, text: string) => {
    if (place !== undefined && place >= 0) names[place] = text;
  };
  const each = (places: readonly number[] | undefined, text: string) =>
    places?.forEach((place, at) => name(place, `${text}${at}`));
  const { plan } = of;
  for (const own of ['down', 'parkedUsable', 'parkedShut', 'counted', 'doubted'] as const)
    name(of[own], own);
  of.steps.forEach(({ hand, said, ...marks }, at) => {
    const id = plan.steps[at]?.id ?? '';
    for (const [mark, place] of Object.entries(marks)) name(place, `${id} ${mark}`);
    each(hand, `${id} hand@`);
    each(said, `${id} said `);
  });
  plan.points.forEach(({ id }, at) => {
    name(of.open[at], `${id} open`);
    name(of.unknown[at], `${id} unknown`);
    for (const lock of ['holders', 'own', 'ownSure', 'firm', 'firmSure'] as const)
      each(of[lock][at], `${id} ${lock}@`);
  });
  plan.ends.forEach(({ id }, at) => name(of.ends[at], `${id} end`));
  of.off.forEach((places, at) => each(places, `off ${at} `));
  of.back.forEach((places, at) => each(places, `back ${at} `));
  each(of.caseLive, 'case live ');
  each(of.here, 'here@');
  each(of.known, 'known@');
  plan.items.forEach((item, at) => {
    for (const [worn, table] of [
      ['on', of.on],
      ['bare', of.bare],
    ] as const)
      table.forEach((places, person) => name(places[at], `${item} ${worn}@${person}`));
  });
  return names;
}

/**
 * The places in the order of these names; what is not among them comes right after its like of the first person, or
 * stays where it was between its neighbours.
 */
function orderedBy(names: readonly string[], order: readonly string[]): number[] {
  const rank = new Map(order.map((name, at) => [name, at]));
  let last = -1;
  const ranks = names.map((name) => {
    const own = rank.get(name) ?? rank.get(name.replace(/@\d+$/u, '@0')) ?? last;
    last = own;
    return own;
  });
  return names
    .map((_, place) => place)
    .sort((a, b) => (ranks[a] as number) - (ranks[b] as number) || a - b);
}

const ORDERS = new Map<string, readonly string[]>(Object.entries(orders));

/**
 * The places of the variables in the order that is kept for the checklist; as they stand where none is. Those in
 * `orders.json` were found over the sets of a finished walk by `Ordered.sift` (for the string isolator over what the moves
 * do as well), and for the range and the charge-point by moving blocks of variables beside it, which lets the locks of one
 * person come to stand together. An order changes how large diagrams are and how long a walk takes, never what it finds.
 */
export function orderOf(of: Variables): number[] {
  return orderedBy(namesOf(of), ORDERS.get(of.plan.checklist.id) ?? []);
}
