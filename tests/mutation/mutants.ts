/**
 * The mutants: each standing interlock, each row of the lapse table and each property taken out in turn, and
 * each condition of the gates turned round. A mutant is one file of the core with other text.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';

export interface Mutant {
  /** What is changed, for the list of survivors: `interlocks.ts without dead`. */
  readonly name: string;
  readonly kind: 'removal' | 'condition';
  /** From the root of the repository. */
  readonly file: string;
  readonly text: string;
  /** The tests that are asked first; all of the rules' tests are asked when these notice nothing. */
  readonly first: string;
}

const root = fileURLToPath(new URL('../../', import.meta.url));
const JOB = 'src/lib/core/job';
const SAFETY = 'src/lib/core/safety';

const textOf = (file: string) => readFileSync(root + file, 'utf8');

/** The text with one passage changed. @throws when it is not there exactly once */
function changed(file: string, from: string, to: string): string {
  const parts = textOf(file).split(from);
  if (parts.length !== 2) throw new Error(`“${from}” stands ${parts.length - 1} times in ${file}.`);
  return parts.join(to);
}

/** A list of the core without the member of this id. */
function without(file: string, list: string, type: string, id: string, first: string): Mutant {
  const start = `export const ${list}: readonly ${type}[] = [`;
  const made = changed(file, start, `const WHOLE: readonly ${type}[] = [`);
  const end = `\nexport const ${list} = WHOLE.filter((each) => each.id !== '${id}');\n`;
  return { name: `${file} without ${id}`, kind: 'removal', file, text: made + end, first };
}

function lapseRow(row: string): Mutant {
  const file = `${JOB}/lapses.ts`;
  const text = changed(file, `    case '${row}':`, `    case '${row}': if (Date) return false;`);
  return { name: `${file} without ${row}`, kind: 'removal', file, text, first: 'job/lapses' };
}

/** Every interlock, lapse row and property taken out. */
export function removals(
  interlocks: readonly string[],
  lapses: readonly string[],
  properties: readonly string[],
): Mutant[] {
  return [
    ...interlocks.map((id) =>
      without(`${JOB}/interlocks.ts`, 'INTERLOCKS', 'Interlock', id, 'prove/taken-out'),
    ),
    ...lapses.map(lapseRow),
    ...properties.map((id) =>
      without(
        `${SAFETY}/properties.ts`,
        'PROPERTIES',
        'Property',
        id,
        `safety/${id.toLowerCase()}-`,
      ),
    ),
  ];
}

/** Files whose conditions decide whether a gate says something. */
const GATES = ['interlocks.ts', 'interlocks-energy.ts', 'interlocks-people.ts', 'energy.ts'];

interface Condition {
  readonly from: number;
  readonly to: number;
  readonly line: number;
}

/** What is asked: each condition of an `if`, of a choice of values and of a returned truth, part by part. */
function conditionsIn(file: string): Condition[] {
  const source = ts.createSourceFile(file, textOf(file), ts.ScriptTarget.Latest, true);
  const found: Condition[] = [];
  const note = (node: ts.Expression): void => {
    const from = node.getStart(source);
    const { line } = source.getLineAndCharacterOfPosition(from);
    found.push({ from, to: node.getEnd(), line: line + 1 });
  };
  const split = (node: ts.Expression): void => {
    if (ts.isParenthesizedExpression(node)) return split(node.expression);
    const both =
      ts.isBinaryExpression(node) &&
      [ts.SyntaxKind.AmpersandAmpersandToken, ts.SyntaxKind.BarBarToken].includes(
        node.operatorToken.kind,
      );
    if (!both) return note(node);
    split(node.left);
    split(node.right);
  };
  const visit = (node: ts.Node): void => {
    if (ts.isIfStatement(node)) split(node.expression);
    else if (ts.isConditionalExpression(node)) split(node.condition);
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

/** Each condition of a file turned round, by itself. */
function turnedRound(file: string): Mutant[] {
  const text = textOf(file);
  return conditionsIn(file).map(({ from, to, line }) => {
    const asked = text.slice(from, to);
    return {
      name: `${file}:${line} not (${asked.replaceAll(/\s+/gu, ' ')})`,
      kind: 'condition',
      file,
      first: 'job/interlocks',
      text: `${text.slice(0, from)}!(${asked})${text.slice(to)}`,
    };
  });
}

export const conditions = (): Mutant[] => GATES.flatMap((file) => turnedRound(`${JOB}/${file}`));
