/** Rows of the benches for people: in words, and as the table of the README. */
import type { Row, Skipped } from './paired.ts';

const percent = (share: number): string => `${Math.round(share * 100)} %`;

const verdict = (goal: string, met: boolean | null, missed: string): string =>
  met === null ? goal : `${goal}: ${met ? 'met' : missed}`;

export function inWords(row: Row | Skipped): string {
  if ('skipped' in row) return `${row.name}: skipped, ${row.skipped}`;
  const ratios = row.ratios.map(
    ({ to, ratio, spread, goal, met }) =>
      `  ${ratio} × ${to}, ± ${percent(spread)} (${verdict(goal, met, 'missed')})`,
  );
  const rates = Object.entries(row.ways).map(
    ([way, { perSecond, spread }]) => `${way} ${perSecond} ${row.unit}/s ± ${percent(spread)}`,
  );
  const last = [...rates, `${row.megabytes} MB`].join(', ');
  return [`${row.name}: ${row.says}`, ...ratios, `  ${last}`].join('\n');
}

const HEAD = ['| bench | times | beside | goal | memory |', '| --- | --- | --- | --- | --- |'];

/** The ratio first, then what it is of, the goal, whether it is met, and the memory of the whole row. */
function linesOf(row: Row | Skipped): readonly string[] {
  if ('skipped' in row) return [`| \`${row.name}\` | not run: ${row.skipped} | | | |`];
  return row.ratios.map(({ to, ratio, spread, goal, met }) => {
    const around = spread === 0 ? '' : ` ± ${percent(spread)}`;
    return `| \`${row.name}\` | ${ratio}${around} | ${to} | ${verdict(goal, met, '**missed**')} | ${row.megabytes} MB |`;
  });
}

/** @param isGoingOn the head was printed with the rows before these */
export function tableOf(rows: readonly (Row | Skipped)[], isGoingOn = false): string {
  return [...(isGoingOn ? [] : HEAD), ...rows.flatMap(linesOf)].join('\n');
}
