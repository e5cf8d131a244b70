/**
 * Tables as CSV (RFC 4180) that a spreadsheet cannot be made to run.
 *
 * A text that could begin a formula gets an apostrophe before it, and so does one that begins with an
 * apostrophe: taking one apostrophe off every text that begins with one gives back what was written
 * (OWASP, CSV Injection: `=`, `+`, `-`, `@`, tab and carriage return; full-width forms are read alike).
 */
export type Cell = string | number | boolean | null;

const BEGINS_A_FORMULA = /^[=+\-@＝＋－＠]/u;

/** Without the spaces and control characters that a spreadsheet skips before a formula. */
function fromFirstMark(cell: string): string {
  let at = 0;
  while (at < cell.length && (cell.charCodeAt(at) <= 32 || cell.charAt(at).trim() === '')) at += 1;
  return cell.slice(at, at + 1);
}

/** Numbers stand as they are: a program made them, and `-5` is one. */
export function csvCell(cell: Cell): string {
  if (typeof cell !== 'string') return cell === null ? '' : String(cell);
  const harmful = BEGINS_A_FORMULA.test(fromFirstMark(cell)) || /^[\t\r\n']/u.test(cell);
  const text = harmful ? `'${cell}` : cell;
  return /[",\r\n\t']/u.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

export const csvLine = (cells: readonly Cell[]): string => `${cells.map(csvCell).join(',')}\r\n`;

/** What was written, from the text of a cell as a reader of CSV hands it over. */
export const writtenIn = (cell: string): string => (cell.startsWith("'") ? cell.slice(1) : cell);
