/**
 * Does a value fit a shape? The answer of `safeParse(value).success` for what came out of JSON, without the copy
 * and the list of issues that a parse makes: a verifier asks it a hundred thousand times, nearly always to be
 * told yes. Kinds of shapes that are not written out here are asked of the shape itself.
 */
import type { z } from 'zod';

type Fits = (value: unknown) => boolean;
type Shape = z.core.$ZodType;

/** What is known of a definition before its kind is. */
interface Definition {
  readonly type: string;
  readonly checks?: readonly unknown[];
  readonly element?: Shape;
  readonly shape?: Readonly<Record<string, Shape>>;
  readonly catchall?: Shape;
  readonly innerType?: Shape;
  readonly entries?: Readonly<Record<string, string | number>>;
}

const definitionOf = (shape: Shape): Definition => shape._zod.def as unknown as Definition;

/** @param own shapes with checks of their own that a caller can answer for */
export function fitting(shape: z.ZodType, own: ReadonlyMap<Shape, Fits> = new Map()): Fits {
  return fitsOf(shape, own);
}

function fitsOf(shape: Shape, own: ReadonlyMap<Shape, Fits>): Fits {
  const known = own.get(shape);
  if (known !== undefined) return known;
  const { type, checks = [], element, shape: members, catchall, entries } = definitionOf(shape);
  const asked: Fits = (value) => (shape as z.ZodType).safeParse(value).success;
  if (checks.length > 0) return asked;
  switch (type) {
    case 'string':
      return (value) => typeof value === 'string';
    case 'boolean':
      return (value) => typeof value === 'boolean';
    case 'enum': {
      const values: ReadonlySet<unknown> = new Set(Object.values(entries ?? {}));
      return (value) => typeof value === 'string' && values.has(value);
    }
    case 'array':
      return element === undefined ? asked : listOf(fitsOf(element, own));
    case 'object': {
      const isClosed = catchall !== undefined && definitionOf(catchall).type === 'never';
      return members === undefined || !isClosed ? asked : objectOf(members, own);
    }
    default:
      return asked;
  }
}

function listOf(fits: Fits): Fits {
  return (value) => {
    if (!Array.isArray(value)) return false;
    for (let at = 0; at < value.length; at += 1) if (!fits(value[at])) return false;
    return true;
  };
}

/** All names known, none missing that must be there. */
function objectOf(shapes: Readonly<Record<string, Shape>>, own: ReadonlyMap<Shape, Fits>): Fits {
  const members = Object.entries(shapes).map(([name, shape]) => {
    const { type, innerType } = definitionOf(shape);
    const isOptional = type === 'optional' && innerType !== undefined;
    return { name, isOptional, fits: fitsOf(isOptional ? innerType : shape, own) };
  });
  return (value) => {
    if (typeof value !== 'object' || value === null || Array.isArray(value)) return false;
    const given = value as Readonly<Record<string, unknown>>;
    let left = Object.keys(given).length;
    for (let at = 0; at < members.length; at += 1) {
      const member = members[at] as (typeof members)[number];
      const found = given[member.name];
      if (found === undefined) {
        if (!member.isOptional) return false;
      } else {
        if (!member.fits(found)) return false;
        left -= 1;
      }
    }
    return left === 0;
  };
}
