/** Verdicts in the reader's language; the figures are the instrument's own. */
import type { QuantityName } from '#lib/core/checklist/model.ts';
import type { ReadingVerdict, VerdictName } from '#lib/core/measure/verdict.ts';
import * as m from '../paraglide/messages.js';
import { getLocale } from '../paraglide/runtime.js';
import { limitOrigin, unitFace, unitsFor } from './of-units.ts';

export const verdictWord: Readonly<Record<VerdictName, () => string>> = {
  pass: m.verdict_pass,
  fail: m.verdict_fail,
  cannotTell: m.verdict_cannot_tell,
  notTaken: m.verdict_not_taken,
  unusable: m.verdict_unusable,
};

/** What was typed, for the sentence that says what is wrong with it. */
export interface Entered {
  readonly text: string;
  readonly unit: string;
  readonly quantity: QuantityName;
}

/** Why what was typed cannot be judged, and what the step expects. */
function unusableSays(code: string, { text, unit, quantity }: Entered): string | undefined {
  const shown = `${text} ${unitFace(unit)}`.trim();
  const units = unitsFor(quantity).map(unitFace).join(', ');
  switch (code) {
    case 'negative':
      return quantity === 'resistance' || quantity === 'insulation'
        ? m.entry_negative_ohms({ shown })
        : m.entry_negative({ shown });
    case 'wrong-dimension':
      return m.entry_wrong_kind({ shown, units });
    case 'not-finite':
      return m.entry_not_finite({ shown: text });
    case 'no-number':
      return m.entry_no_number({ shown: text, units });
    case 'empty':
      return m.entry_empty({ units });
    case 'no-unit':
      return m.reading_missing_unit();
    case 'no-limit':
    case 'limit-mixed':
    case 'limit-wrong-kind':
    case 'limits-crossed':
      return m.entry_no_limit();
    default:
      return undefined;
  }
}

/** The sentence with limit and origin. Where no sentence of this language fits, the engine's own. */
export function verdictSays(verdict: ReadingVerdict, entered?: Entered): string {
  if (verdict.verdict === 'unusable' && entered !== undefined)
    return unusableSays(verdict.code, entered) ?? verdict.says;
  const limit = limitWords(verdict);
  const origin = verdict.origin === null ? '' : limitOrigin[verdict.origin]();
  if (verdict.verdict === 'unusable' || limit === '') return verdict.says;
  if (verdict.code === 'overload') return m.verdict_says_overload({ limit, origin });
  if (verdict.code === 'unstable' && verdict.net === null) return m.verdict_says_unstable();
  if (verdict.low === null || verdict.high === null || verdict.unit === null) return verdict.says;
  const span = `${figure(verdict.low)} – ${figure(verdict.high)} ${unitFace(verdict.unit)}`;
  const said = { span, limit, origin };
  if (verdict.verdict === 'pass') return m.verdict_says_inside(said);
  if (verdict.verdict === 'fail') return m.verdict_says_outside(said);
  const chance =
    verdict.probability === null
      ? ''
      : ` ${m.verdict_chance({ percent: String(Math.round(verdict.probability * 100)) })}`;
  return m.verdict_says_both(said) + chance;
}

/** The limit and where it comes from: `≤ 2 V, our default`. */
export function verdictLimit(verdict: ReadingVerdict): string {
  const origin = verdict.origin === null ? '' : `, ${limitOrigin[verdict.origin]()}`;
  return `${limitWords(verdict)}${origin}`;
}

/** The limit in figures, so that it reads the same in every language: `0.98 – 1.2 kΩ`. */
function limitWords(verdict: ReadingVerdict): string {
  const unit = verdict.unit === null ? '' : ` ${unitFace(verdict.unit)}`;
  const { least, most } = verdict;
  if (least !== null && most !== null) return `${figure(least)} – ${figure(most)}${unit}`;
  if (most !== null) return `≤ ${figure(most)}${unit}`;
  if (least !== null) return `≥ ${figure(least)}${unit}`;
  return verdict.limit;
}

function figure(value: number): string {
  return new Intl.NumberFormat(getLocale(), { maximumSignificantDigits: 4 }).format(value);
}
