/**
 * What protects hands: rubber insulating gloves by class and test date, cut-resistant gloves by level.
 * A cut level says nothing about voltage.
 */
import { addDays, addMonths, isDate } from './dates.ts';
import { bad, good, outOfRange, type Outcome, type Problem } from './outcome.ts';
import { showNumber } from './quantity.ts';

export const gloveSource = '29 CFR 1910.137 Tables I-4 and I-5; DC figures ASTM D120';

/** Highest use voltage by class, AC (rms) and DC. */
export const gloveClasses: Readonly<Record<string, { ac: number; dc: number }>> = {
  '00': { ac: 500, dc: 750 },
  '0': { ac: 1000, dc: 1500 },
  '1': { ac: 7500, dc: 11250 },
  '2': { ac: 17000, dc: 25500 },
  '3': { ac: 26500, dc: 39750 },
  '4': { ac: 36000, dc: 54000 },
};

/** In rising order; an object would put 0 before 00. */
export const gloveClassNames: readonly string[] = ['00', '0', '1', '2', '3', '4'];

export interface Glove {
  readonly class: string;
  readonly volts: number;
  readonly current?: 'ac' | 'dc' | undefined;
  /** YYYY-MM-DD; `tested` is the last electrical test, `issued` when it went into service. */
  readonly tested?: string | undefined;
  readonly issued?: string | undefined;
  readonly on?: string | undefined;
}

/**
 * What stands against these gloves: class against voltage, and the two clocks, 12 months from test to
 * issue and 6 months from test once issued. Half a year is six calendar months or 182 days, whichever
 * ends first. Without dates only the voltage is judged.
 */
export function gloveProblems(glove: Glove): Problem[] {
  const rating = gloveClasses[glove.class];
  if (rating === undefined) {
    return [
      {
        code: 'unknown-class',
        says: `“${glove.class}” is not a glove class; they are ${gloveClassNames.join(', ')}.`,
      },
    ];
  }
  const current = glove.current ?? 'ac';
  const most = rating[current];
  const wrong = outOfRange('The voltage', glove.volts, 'V', { least: 0 });
  if (wrong !== null) return [wrong];
  const problems: Problem[] = [];
  if (glove.volts > most) {
    problems.push({
      code: 'class-too-low',
      says: `Class ${glove.class} is for up to ${most} V ${current.toUpperCase()}; here are ${showNumber(glove.volts)} V.`,
    });
  }
  return [...problems, ...dateProblems(glove)];
}

function dateProblems({ tested, issued, on }: Glove): Problem[] {
  if (tested === undefined && issued === undefined && on === undefined) return [];
  for (const date of [tested, issued, on]) {
    if (date !== undefined && !isDate(date)) {
      return [{ code: 'not-a-date', says: `“${date}” is not a date; write it as 2026-09-14.` }];
    }
  }
  if (tested === undefined || on === undefined) {
    return [
      {
        code: 'dates-missing',
        says: 'The date of the last test and the day of use are both needed.',
      },
    ];
  }
  if (tested > on) {
    return [
      { code: 'test-later', says: `The test of ${tested} is later than the day of use, ${on}.` },
    ];
  }
  const halfYear = earlier(addMonths(tested, 6), addDays(tested, 182));
  const year = addMonths(tested, 12) ?? tested;
  const inService = issued !== undefined && issued <= on;
  if (!inService) {
    return on <= year
      ? []
      : [
          {
            code: 'shelf-overdue',
            says: `Tested on ${tested}, more than 12 months ago: test again before issue.`,
          },
        ];
  }
  const problems: Problem[] = [];
  if (issued > year) {
    problems.push({
      code: 'issued-too-late',
      says: `Issued on ${issued}, more than 12 months after the test of ${tested}.`,
    });
  }
  if (on > halfYear) {
    problems.push({
      code: 'test-overdue',
      says: `In service and tested on ${tested}, more than 6 months ago: test again before use.`,
    });
  }
  return problems;
}

function earlier(a: string | null, b: string | null): string {
  const [one, other] = [a ?? '', b ?? ''];
  return one < other ? one : other;
}

const ansiGrams = [200, 500, 1000, 1500, 2200, 3000, 4000, 5000, 6000];
const enNewtons: readonly [string, number][] = [
  ['A', 2],
  ['B', 5],
  ['C', 10],
  ['D', 15],
  ['E', 22],
  ['F', 30],
];

/** Cut level A1 to A9 by grams (ANSI/ISEA 105-2016); null below A1. */
export function ansiCutLevel(grams: number): Outcome<string | null> {
  const problem = outOfRange('The cut force', grams, 'g', { least: 0 });
  if (problem !== null) return { ok: false, problem };
  const level = ansiGrams.filter((least) => grams >= least).length;
  return good(level === 0 ? null : `A${level}`);
}

/** Cut letter A to F by newtons (EN 388:2016, TDM test); null below A. */
export function enCutLevel(newtons: number): Outcome<string | null> {
  const problem = outOfRange('The cut force', newtons, 'N', { least: 0 });
  if (problem !== null) return { ok: false, problem };
  return good(enNewtons.filter(([, least]) => newtons >= least).at(-1)?.[0] ?? null);
}

/** Whether a glove of one ANSI level does where another is asked for (`A4` where `A3` is asked). */
export function cutLevelSuffices(has: string, needs: string): Outcome<boolean> {
  const [a, b] = [/^A([1-9])$/u.exec(has)?.[1], /^A([1-9])$/u.exec(needs)?.[1]];
  if (a === undefined || b === undefined) {
    return bad(
      'unknown-level',
      `Cut levels run from A1 to A9 (ANSI/ISEA 105), not “${a === undefined ? has : needs}”.`,
    );
  }
  return good(Number(a) >= Number(b));
}
