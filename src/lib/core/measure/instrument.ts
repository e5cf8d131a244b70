/**
 * Instruments: what a meter card says, whether it fits a source, and whether it can be believed.
 *
 * Measurement categories: IEC 61010-1 / IEC 61010-2-030. Category ranks before volts: CAT II 1000 V
 * and CAT III 600 V stand the same impulse (6000 V), but CAT III does so from a source of 2 ohm, CAT II
 * from 12 ohm.
 */
import type { Category } from '../checklist/model.ts';
import { asWritten, bad, good, type Outcome, type Problem } from './outcome.ts';
import { isDate } from './dates.ts';
import type { MeterRange } from './meter-ranges.ts';
import { parseQuantity, showNumber } from './quantity.ts';

export type { Category } from '../checklist/model.ts';

/** Accuracy of a range: ±(percent of the reading + counts × the resolution of the range). */
export interface Accuracy {
  readonly percent: number;
  readonly counts: number;
}

export interface InstrumentCard {
  readonly id: string;
  /** As marked on the meter: `CAT III`. */
  readonly category: string;
  /** Volts marked beside the category: `600`, `"600"` or `"600 V"`. */
  readonly volts: number | string;
  /** Calibration due, YYYY-MM-DD; the day itself still counts. */
  readonly due?: string;
  readonly percent?: number | string;
  readonly counts?: number | string;
  /** Accuracy by range, where the card gives it; it goes before `percent` and `counts`. */
  readonly ranges?: readonly MeterRange[];
}

const ranks: Readonly<Record<Category, number>> = { 'CAT II': 2, 'CAT III': 3, 'CAT IV': 4 };

export function readCategory(text: string): Category | null {
  if (typeof text === 'string' && Object.hasOwn(ranks, text)) return text as Category;
  const written = asWritten(text).trim().toUpperCase().replace(/\s+/gu, ' ');
  return written in ranks ? (written as Category) : null;
}

/** Negative when `a` stands less than `b`: first by category, then by volts. */
export function compareRatings(
  a: { category: Category; volts: number },
  b: { category: Category; volts: number },
): number {
  return ranks[a.category] - ranks[b.category] || a.volts - b.volts;
}

/**
 * Why this meter may not be used on a source of this category and voltage on this day; empty when
 * nothing stands against it. `onDate` is YYYY-MM-DD.
 */
export function fitFor(
  card: InstrumentCard,
  sourceCategory: string,
  volts: number,
  onDate: string,
): Problem[] {
  const problems: Problem[] = [];
  const say = (code: string, says: string) => problems.push({ code, says });
  const has = readCategory(card.category);
  const needs = readCategory(sourceCategory);
  if (has === null) {
    say(
      'category-unknown',
      `Meter ${card.id}: “${asWritten(card.category)}” is not CAT II, CAT III or CAT IV.`,
    );
  }
  if (needs === null) {
    say(
      'source-category-unknown',
      `The source’s category “${sourceCategory}” is not CAT II, III or IV.`,
    );
  }
  if (has !== null && needs !== null && ranks[has] < ranks[needs]) {
    say(
      'category-too-low',
      `Meter ${card.id} is ${has}; this source needs ${needs}, whatever its volts.`,
    );
  }
  const rated = ratedVolts(card);
  if (rated === null) {
    say('volts-unknown', `Meter ${card.id} has no rated voltage on its card.`);
  } else if (!(Number.isFinite(volts) && volts >= 0)) {
    say('source-volts-unknown', 'The voltage of the source is not known.');
  } else if (volts > rated) {
    say(
      'volts-too-low',
      `Meter ${card.id} is rated ${showNumber(rated)} V; the source has ${showNumber(volts)} V.`,
    );
  }
  problems.push(...dueProblems(card, onDate));
  return problems;
}

/** The volts on the card as a number, or null when they are missing or make no sense. */
export function ratedVolts(card: Pick<InstrumentCard, 'volts'>): number | null {
  const volts = cardNumber(card.volts, 'V');
  return volts !== null && volts > 0 ? volts : null;
}

/** The accuracy on the card; null when it gives none, `bad-accuracy` when it cannot be used. */
export function accuracyOf(
  card: Pick<InstrumentCard, 'percent' | 'counts'>,
): Outcome<Accuracy | null> {
  if (card.percent === undefined && card.counts === undefined) return good(null);
  const percent = cardNumber(card.percent ?? 0, '%');
  const counts = cardNumber(card.counts ?? 0, '');
  if (percent === null || counts === null || percent < 0 || counts < 0) {
    return bad(
      'bad-accuracy',
      'The accuracy on the meter card must be percent and counts, none below zero.',
    );
  }
  return good({ percent, counts });
}

function cardNumber(written: number | string, unit: string): number | null {
  if (typeof written === 'number') return Number.isFinite(written) ? written : null;
  if (typeof written !== 'string') return null;
  if (/^\d+(?:\.\d+)?$/u.test(written.trim())) return Number(written);
  const read = parseQuantity(written);
  if (!read.ok) return null;
  if (unit === '%') return read.quantity.unit === '%' ? read.quantity.value : null;
  return unit === 'V' && read.quantity.dimension === 'voltage' ? read.quantity.si : null;
}

function dueProblems(card: InstrumentCard, onDate: string): Problem[] {
  if (card.due === undefined || !isDate(card.due)) {
    return [
      {
        code: 'due-unknown',
        says: `Meter ${card.id} has no calibration date (YYYY-MM-DD) on its card.`,
      },
    ];
  }
  if (!isDate(onDate)) {
    return [{ code: 'date-unknown', says: `“${onDate}” is not a date (YYYY-MM-DD).` }];
  }
  if (onDate <= card.due) return [];
  return [
    {
      code: 'calibration-overdue',
      says: `Meter ${card.id} was due for calibration on ${card.due}.`,
    },
  ];
}

/** Allowed difference between a known source and the meter, as a part of the expected value. */
export const knownSourceTolerance = 0.1;

/**
 * The check on a known live source: what the meter shows must lie within 10 % of what is expected.
 * A weak battery has shown 177 V and 358 V on a 120/240 V source (published field case; the 10 % is
 * our default, no standard gives one). Both in volts, or both in one other unit.
 */
export function checkOnKnownSource(expected: number, shown: number): Outcome<{ off: number }> {
  if (!Number.isFinite(expected) || expected <= 0) {
    return bad(
      'no-known-source',
      'A known source has a value above zero; say what it should show.',
    );
  }
  if (!Number.isFinite(shown)) {
    return bad('check-failed', 'The meter shows no number on the known source: do not use it.');
  }
  const off = (shown - expected) / expected;
  // The margin keeps 132 on 120 inside: 0.1 has no exact binary form.
  if (Math.abs(off) > knownSourceTolerance + 1e-9) {
    const percent = showNumber(Math.abs(off) * 100, 3);
    const way = off > 0 ? 'high' : 'low';
    return bad(
      'check-failed',
      `The meter shows ${showNumber(shown)} where ${showNumber(expected)} is expected, ${percent} % too ${way}. ` +
        'Bench it: no reading or proof with this meter counts.',
    );
  }
  return good({ off });
}

/** Something a meter did, in order; `order` is any rising number (a sequence or milliseconds). */
export interface MeterAct {
  readonly order: number;
  readonly kind: 'checkHeld' | 'checkFailed' | 'reading';
}

/**
 * The readings that a doubt at `order` voids: all since the last check that held before it. Without
 * such a check, all of them.
 */
export function readingsInDoubt<A extends MeterAct>(acts: readonly A[], order: number): A[] {
  let lastGood = -Infinity;
  for (const act of acts) {
    if (act.kind === 'checkHeld' && act.order <= order) lastGood = Math.max(lastGood, act.order);
  }
  return acts.filter((act) => act.kind === 'reading' && act.order > lastGood && act.order <= order);
}
