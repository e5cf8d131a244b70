// The quick answer on a body beside that of its shape (zod 4.6.7), for bodies that fit and for ones spoilt in one place.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { z } from 'zod';
import { BODIES, bodyFits } from '#lib/core/bag/bodies.ts';
import { ENTRY_TYPES } from '#lib/core/record/entry.ts';

type Shape = z.core.$ZodType;
type Json = null | boolean | number | string | Json[] | { [name: string]: Json };

interface Definition {
  readonly type: string;
  readonly checks?: readonly unknown[];
  readonly element: Shape;
  readonly valueType: Shape;
  readonly innerType: Shape;
  readonly shape: Readonly<Record<string, Shape>>;
  readonly entries: Readonly<Record<string, string>>;
}
const definitionOf = (shape: Shape) => shape._zod.def as unknown as Definition;
const isOptional = (shape: Shape): boolean => definitionOf(shape).type === 'optional';

function madeFor(shape: Shape): fc.Arbitrary<unknown> {
  const {
    type,
    checks,
    element,
    innerType,
    valueType,
    shape: members,
    entries,
  } = definitionOf(shape);
  switch (type) {
    case 'string':
      return checks === undefined ? fc.string() : fc.constant('0a'.repeat(32));
    case 'number':
      return fc.nat();
    case 'boolean':
      return fc.boolean();
    case 'enum':
      return fc.constantFrom(...Object.values(entries));
    case 'array':
      return fc.array(madeFor(element), { minLength: 1, maxLength: 3 });
    case 'record':
      return fc.dictionary(fc.string({ minLength: 1 }), madeFor(valueType), { maxKeys: 3 });
    case 'optional':
      return madeFor(innerType);
    case 'object': {
      const names = Object.keys(members);
      const requiredKeys = names.filter((name) => !isOptional(members[name] as Shape));
      const model = Object.fromEntries(
        names.map((name) => [name, madeFor(members[name] as Shape)]),
      );
      return fc.record(model, { requiredKeys });
    }
    default:
      return fc.jsonValue();
  }
}

/** Every place in a value: the object or list, and the name or number there. */
function placesIn(value: Json): (readonly [Record<string, Json>, string])[] {
  if (typeof value !== 'object' || value === null) return [];
  const held = value as Record<string, Json>;
  return Object.keys(held).flatMap((name) => [
    [held, name] as const,
    ...placesIn(held[name] as Json),
  ]);
}

const ODD = fc.constantFrom<Json>(null, '', 'x', -1, 0.5, 2 ** 53, true, [], {}, ['x'], {
  step: 1,
});

it('says of every body what its shape says', { timeout: 60_000 }, () => {
  const told = { yes: 0, no: 0 };
  const body = fc
    .constantFrom(...ENTRY_TYPES)
    .chain((type) => madeFor(BODIES[type]).map((value) => ({ type, value })));
  const spoil = fc.record({
    at: fc.nat(),
    how: fc.constantFrom('leave', 'put', 'drop', 'add'),
    odd: ODD,
  });
  const spoilt = fc.property(body, spoil, ({ type, value }, { at, how, odd }) => {
    const given = JSON.parse(JSON.stringify(value)) as Json;
    const places = placesIn(given);
    const [held, name] = places[at % Math.max(1, places.length)] ?? [given as never, 'more'];
    if (how === 'put') held[name] = odd;
    if (how === 'drop' && !Array.isArray(held)) delete held[name];
    if (how === 'add' && !Array.isArray(held)) held['more'] = odd;
    const { success } = BODIES[type].safeParse(given);
    told[success ? 'yes' : 'no'] += 1;
    expect(bodyFits(type, given)).toBe(success);
  });
  fc.assert(spoilt, { numRuns: 6000 });
  expect(Math.min(told.yes, told.no)).toBeGreaterThan(1500);
  // Nothing but an object is a body.
  for (const type of ENTRY_TYPES)
    for (const odd of [null, [], 'x', 1]) expect(bodyFits(type, odd)).toBe(false);
});
