/** Every quantity of the file can be read, is of the right kind, and is no laxer than a standing limit. */
import { dimensionOf } from './dimensions.ts';
import { parseQuantity, wrongDimension, type Dimension } from '../measure/quantity.ts';
import { isBlock, type Draft, type DraftStep } from './draft.ts';
import type { QuantityName, SourceKind } from './model.ts';
import { QUANTITIES } from './model.ts';
import type { Path, Problems } from './place.ts';
import { valueAt } from './shape.ts';

/** Shelf life of a proof of dead, and of a roll call, in seconds; common practice, no source. */
export const PROOF_KEEPS = 30 * 60;
export const ROLL_CALL_KEEPS = 10 * 60;
/** Below this to ground a part need not be cut (29 CFR 1910.333(a)(1)); no proof may allow as much. */
export const DEAD_BELOW = 50;

const nominalOf: Partial<Readonly<Record<SourceKind, readonly Dimension[]>>> = {
  electrical: ['voltage'],
  charge: ['voltage'],
  thermal: ['temperature'],
  motion: ['rotation', 'speed'],
  gravity: ['mass', 'force'],
  pressure: ['pressure'],
  gas: ['pressure'],
  water: ['pressure', 'temperature'],
};

export function checkQuantities(draft: Draft, problems: Problems): void {
  const read = new Reading(draft, problems);
  for (const source of draft.sources) {
    const path: Path = ['sources', source.id];
    const nominal = source.kind === '' ? undefined : nominalOf[source.kind];
    if (nominal) read.expect([...path, 'nominal'], nominal);
    const below = read.expect([...path, 'dead', 'below'], ['voltage']);
    if (below !== null && below >= DEAD_BELOW) {
      problems.atValue(
        [...path, 'dead', 'below'],
        `No proof of dead may allow ${DEAD_BELOW} V or more; 2 V is usual.`,
      );
    }
    checkRelease(draft, [...path, 'release'], read);
    const standing = source.kind === 'electrical' ? PROOF_KEEPS : Infinity;
    read.shelfLife([...path, 'keeps', 'for'], standing);
    if (source.release === 'discharge' && source.nominal === '') {
      problems.atKey(
        [...path, 'release'],
        'The wait is computed from nominal, and this source has none; write the voltage it is charged to.',
      );
    }
  }
  for (const step of draft.steps) checkStep(step, read);
}

function checkRelease(draft: Draft, path: Path, read: Reading): void {
  read.expect([...path, 'cool', 'below'], ['temperature']);
  read.positive([...path, 'discharge', 'capacitance'], 'capacitance');
  read.positive([...path, 'discharge', 'bleed'], 'resistance');
  read.positive([...path, 'discharge', 'below'], 'voltage');
  const measured = valueAt(draft.json, [...path, 'measured', 'quantity']);
  if (isQuantity(measured)) read.expect([...path, 'measured', 'below'], [dimensionOf[measured]]);
}

function checkStep(step: DraftStep, read: Reading): void {
  read.positive([...step.path, 'takes'], 'time');
  const standing =
    step.do === 'prove' ? PROOF_KEEPS : step.do === 'clear' ? ROLL_CALL_KEEPS : Infinity;
  read.shelfLife([...step.path, 'keeps', 'for'], standing);
  if (step.do !== 'reading' || !isQuantity(step.quantity)) return;
  const path = [...step.path, 'accept'];
  const { accept } = step.raw;
  if (!isBlock(accept)) return;
  const dimension = dimensionOf[step.quantity];
  read.band(path, dimension);
  read.positive([...path, 'element', 'volts'], 'voltage');
  read.positive([...path, 'element', 'watts'], 'power');
  if (isBlock(accept.pairs)) {
    for (const pair of Object.keys(accept.pairs)) read.band([...path, 'pairs', pair], dimension);
  }
  if ((accept.element !== undefined || accept.open === true) && dimension !== 'resistance') {
    read.problem(
      path,
      `Only a resistance is judged by ${accept.open === true ? 'open' : 'element'}; this step reads ${step.quantity}.`,
    );
  }
  if (Object.keys(accept).length === 0) {
    read.problem(path, 'Nothing is said here; write least, most, open, element or pairs.');
  }
}

const isQuantity = (name: unknown): name is QuantityName =>
  QUANTITIES.some((known) => known === name);

class Reading {
  readonly #draft: Draft;
  readonly #problems: Problems;

  constructor(draft: Draft, problems: Problems) {
    this.#draft = draft;
    this.#problems = problems;
  }

  problem(path: Path, says: string): void {
    this.#problems.atKey(path, says);
  }

  /** The SI value at the path, or null when nothing (readable) stands there. */
  expect(path: Path, dimensions: readonly Dimension[]): number | null {
    const written = valueAt(this.#draft.json, path);
    if (typeof written !== 'string' || written === '') return null;
    const read = parseQuantity(written);
    if (!read.ok) {
      this.#problems.atValue(path, read.problem.says);
      return null;
    }
    const [first] = dimensions;
    if (first !== undefined && !dimensions.includes(read.quantity.dimension)) {
      this.#problems.atValue(path, wrongDimension(read.quantity, first));
      return null;
    }
    return read.quantity.si;
  }

  positive(path: Path, dimension: Dimension): number | null {
    const value = this.expect(path, [dimension]);
    if (value !== null && value <= 0) this.#problems.atValue(path, 'This must be more than zero.');
    return value;
  }

  shelfLife(path: Path, standing: number): void {
    const seconds = this.positive(path, 'time');
    if (seconds !== null && seconds > standing) {
      const says = `The standing shelf life here is ${standing / 60} min; a checklist may shorten it, never lengthen it.`;
      this.#problems.atValue(path, says);
    }
  }

  band(path: Path, dimension: Dimension): void {
    const least = this.expect([...path, 'least'], [dimension]);
    const most = this.expect([...path, 'most'], [dimension]);
    if (least !== null && most !== null && least > most) {
      this.#problems.atValue(
        [...path, 'most'],
        'The most is less than the least; nothing could pass.',
      );
    }
  }
}
