/** The keys that the format knows at a path, for hints. */
import { checklistSchema, stepSchemas } from './schema.ts';
import type { Path } from './place.ts';

/** The parts of a schema's definition that are walked here. */
interface Definition {
  readonly type: string;
  readonly shape?: Readonly<Record<string, Walkable>>;
  readonly valueType?: Walkable;
  readonly element?: Walkable;
  readonly innerType?: Walkable;
  readonly options?: readonly Walkable[];
}
interface Walkable {
  readonly _zod: { readonly def: unknown };
}

const definitionOf = (schema: Walkable) => schema._zod.def as Definition;

/** Every schema that may stand one step further down. */
function below(schema: Walkable, part: string | number): Walkable[] {
  const { shape, valueType, element, innerType, options } = definitionOf(schema);
  if (innerType !== undefined) return below(innerType, part);
  if (options !== undefined) return options.flatMap((option) => below(option, part));
  const own = shape !== undefined && Object.hasOwn(shape, part) ? shape[part] : undefined;
  const next = shape !== undefined ? own : (valueType ?? element);
  return next === undefined ? [] : [next];
}

function keysOf(schema: Walkable): string[] {
  const { shape, innerType, options } = definitionOf(schema);
  if (innerType !== undefined) return keysOf(innerType);
  if (options !== undefined) return options.flatMap(keysOf);
  return shape === undefined ? [] : Object.keys(shape);
}

/** `steps[3]` of a reading: id, phase, do, …, quantity, accept. Empty where any key may stand. */
export function knownKeys(path: Path, kindOfStep: unknown): string[] {
  const kinds: Readonly<Record<string, Walkable>> = stepSchemas;
  const named = typeof kindOfStep === 'string' && Object.hasOwn(kinds, kindOfStep);
  const kind = named ? kinds[kindOfStep] : undefined;
  let at: Walkable[] = [checklistSchema];
  path.forEach((part, depth) => {
    at =
      depth === 1 && path[0] === 'steps' && kind
        ? [kind]
        : at.flatMap((schema) => below(schema, part));
  });
  return [...new Set(at.flatMap(keysOf))];
}
