import type { LimitOrigin } from '../../lib/core/checklist/model.ts';
import type { Outcome } from '../../lib/core/measure/outcome.ts';
import {
  expectQuantity,
  quantityOf,
  type Dimension,
  type Quantity,
} from '../../lib/core/measure/quantity.ts';
import { Unusable } from '../verb.ts';

/** What a calculation answers: figures, and where its formula or limit comes from. */
export interface Answer {
  readonly result: Readonly<Record<string, unknown>>;
  readonly source: string;
  /** `formula` where nothing is a limit. */
  readonly origin: LimitOrigin | 'formula';
  /** For people; the figures of `result` when left out. */
  readonly lines?: readonly string[];
}

export interface Calculation {
  /** Flags as they are shown in the help, and the names that are read. */
  readonly usage: string;
  readonly flags: readonly string[];
  compute(flags: Flags): Answer;
}

/** Flags typed after a name, read one by one; what is missing or wrong is named in one sentence. */
export class Flags {
  readonly given: Readonly<Record<string, string>>;

  constructor(given: Readonly<Record<string, string>>) {
    this.given = given;
  }

  has(name: string): boolean {
    return this.given[name] !== undefined;
  }

  /** @throws Unusable that names every one of these flags that is missing */
  need(...names: string[]): void {
    const missing = names.filter((name) => !this.has(name));
    if (missing.length === 0) return;
    const list = missing.map((name) => `--${name}`).join(', ');
    throw new Unusable(`Missing ${missing.length === 1 ? 'flag' : 'flags'}: ${list}.`);
  }

  text(name: string): string {
    this.need(name);
    return this.given[name] ?? '';
  }

  oneOf<Choice extends string>(
    name: string,
    choices: readonly Choice[],
    otherwise?: Choice,
  ): Choice {
    if (otherwise !== undefined && !this.has(name)) return otherwise;
    const written = this.text(name);
    const found = choices.find((choice) => choice.toLowerCase() === written.toLowerCase());
    if (found !== undefined) return found;
    throw new Unusable(`--${name} is “${written}”; it can be ${choices.join(', ')}.`);
  }

  number(name: string): number {
    const written = this.text(name);
    const value = plainNumber(written);
    if (value === null) throw new Unusable(`--${name} is “${written}”; it must be a number.`);
    return value;
  }

  /**
   * A quantity of one dimension. `plain` is the unit that a bare number has, for flags that allow one.
   * Where only a temperature or a capacitance can stand, C and F are read as °C, °F and farad.
   */
  quantity(name: string, dimension: Dimension, plain?: string): Quantity {
    const written = this.text(name);
    if (plain !== undefined && plainNumber(written) !== null) {
      const bare = quantityOf(written, plain);
      if (bare.ok) return bare.quantity;
    }
    const clear =
      dimension === 'temperature'
        ? written.replace(/(\d)\s*([CF])$/u, '$1 °$2')
        : dimension === 'capacitance'
          ? written.replace(/(\d)\s*F$/u, '$1 farad')
          : written;
    return orUnusable(expectQuantity(`--${name}`, clear, dimension));
  }

  si(name: string, dimension: Dimension, plain?: string): number {
    return this.quantity(name, dimension, plain).si;
  }

  optionalSi(name: string, dimension: Dimension, plain?: string): number | undefined {
    return this.has(name) ? this.si(name, dimension, plain) : undefined;
  }
}

export function plainNumber(written: string): number | null {
  return /^[+-]?(?:\d+(?:\.\d+)?|\.\d+)(?:e[+-]?\d{1,3})?$/iu.test(written.trim())
    ? Number(written)
    : null;
}

/** @throws Unusable with the problem's own sentence */
export function orUnusable<T>(outcome: Outcome<T>): T {
  if (outcome.ok) return outcome.value;
  throw new Unusable(outcome.problem.says);
}
