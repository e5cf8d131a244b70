/**
 * Where a file can be changed, found in its syntax tree: each rule of a list taken out, each case of a
 * choice taken out, each condition by itself forced to yes, to no, and turned round, each comparison with
 * its bound on the other side. All of them are written into one text, asleep, so that one build of a file
 * serves every change: `$m` wakes one at a time (`waker.ts`).
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';

export type Kind = 'rule' | 'case' | 'yes' | 'no' | 'round' | 'bound';

export interface Place {
  readonly kind: Kind;
  /** From the root of the repository. */
  readonly file: string;
  readonly line: number;
  /** The function it stands in, and the text that is changed: names it however lines move. */
  readonly name: string;
}

export const root = fileURLToPath(new URL('../../', import.meta.url));

/** Lists of rules, each member of which is taken out. */
const RULE_LISTS = ['INTERLOCKS', 'PROPERTIES'];
const BOUNDS = new Map<ts.SyntaxKind, string>([
  [ts.SyntaxKind.LessThanToken, '<'],
  [ts.SyntaxKind.LessThanEqualsToken, '<='],
  [ts.SyntaxKind.GreaterThanToken, '>'],
  [ts.SyntaxKind.GreaterThanEqualsToken, '>='],
]);
const EQUALS = [
  ts.SyntaxKind.EqualsEqualsEqualsToken,
  ts.SyntaxKind.ExclamationEqualsEqualsToken,
  ts.SyntaxKind.InKeyword,
  ts.SyntaxKind.InstanceOfKeyword,
];
/** Calls whose answer is yes or no, by name; what our own functions answer is told by theirs (`everyPoint` lists). */
const ASKS =
  /^(?!everyPoint$)(?:(?:is|has|may|can|all|ever|every)[A-Z]\w*|every|some|includes|has|startsWith|endsWith|test|factStands|stands)$/u;

interface Edit {
  readonly at: number;
  readonly text: string;
  /** Of edits at one position the outer opens first and closes last. */
  readonly rank: number;
  readonly until: number;
}

/** The text of a file with every place in it asleep; numbers count on from `first`. */
export interface Prepared {
  readonly text: string;
  readonly places: readonly Place[];
}

export function prepared(file: string, first: number): Prepared {
  const text = readFileSync(root + file, 'utf8');
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true);
  const places: Place[] = [];
  const edits: Edit[] = [];
  const add = (at: number, put: string, rank: number, until = at) =>
    edits.push({ at, text: put, rank, until });
  const textOf = (node: ts.Node) => node.getText(source).replaceAll(/\s+/gu, ' ');
  const place = (kind: Kind, node: ts.Node, said = textOf(node)): number => {
    const { line } = source.getLineAndCharacterOfPosition(node.getStart(source));
    const name = `${within(node)}: ${said}`;
    const same = places.filter((each) => each.kind === kind && each.name.startsWith(name)).length;
    const nth = same === 0 ? '' : ` #${same + 1}`;
    places.push({ kind, file, line: line + 1, name: name + nth });
    return first + places.length - 1;
  };
  const around = (node: ts.Node, before: string, after: string, rank: number) => {
    add(node.getStart(source), before, rank, node.getEnd());
    add(node.getEnd(), after, -rank, node.getStart(source));
  };
  const taken = new Set<ts.Node>();

  /* A condition, part by part. */
  function condition(node: ts.Expression): void {
    if (taken.has(node)) return;
    if (ts.isParenthesizedExpression(node)) return condition(node.expression);
    if (isJoined(node)) {
      condition(node.left);
      return condition(node.right);
    }
    if (ts.isPrefixUnaryExpression(node) && node.operator === ts.SyntaxKind.ExclamationToken) {
      const inner = unwrapped(node.operand);
      if (isJoined(inner)) return condition(inner);
      taken.add(inner);
    }
    if (node.kind === ts.SyntaxKind.TrueKeyword || node.kind === ts.SyntaxKind.FalseKeyword) return;
    taken.add(node);
    const at = place('yes', node);
    place('no', node);
    place('round', node);
    around(node, `$m.b(${at},`, ')', 1);
  }

  function visit(node: ts.Node): void {
    if (ts.isIfStatement(node) || ts.isWhileStatement(node) || ts.isDoStatement(node))
      condition(node.expression);
    else if (ts.isConditionalExpression(node)) condition(node.condition);
    else if (ts.isForStatement(node) && node.condition) condition(node.condition);
    else if (isJoined(node)) {
      condition(node.left);
      condition(node.right);
    } else if (isAsked(node)) condition(node);
    if (ts.isBinaryExpression(node)) bound(node);
    if (ts.isCaseClause(node)) {
      const at = place('case', node.expression, `case ${textOf(node.expression)}`);
      around(node.expression, `$m.k(${at},`, ')', 2);
    }
    if (ts.isVariableDeclaration(node) && RULE_LISTS.includes(node.name.getText(source)))
      rules(node.initializer);
    ts.forEachChild(node, visit);
  }

  function bound(node: ts.BinaryExpression): void {
    const sign = BOUNDS.get(node.operatorToken.kind);
    if (sign === undefined) return;
    const at = place('bound', node);
    around(node, `$m.c(${at},'${sign}',`, ')', 0.5);
    const { operatorToken: token } = node;
    add(token.getStart(source), '/*', 0, token.getEnd());
    add(token.getEnd(), '*/,', 0, token.getStart(source));
  }

  function rules(list: ts.Expression | undefined): void {
    if (!list || !ts.isArrayLiteralExpression(list)) throw new Error(`${file}: no list of rules`);
    for (const each of list.elements) {
      const own = ts.isObjectLiteralExpression(each) ? each.properties[0] : undefined;
      const id = own && ts.isPropertyAssignment(own) ? own.initializer : each;
      around(each, `...$m.e(${place('rule', each, textOf(id))},`, ')', 3);
    }
  }

  visit(source);
  return { text: woven(text, edits), places };
}

const unwrapped = (node: ts.Expression): ts.Expression =>
  ts.isParenthesizedExpression(node) ? unwrapped(node.expression) : node;

function isJoined(node: ts.Node): node is ts.BinaryExpression {
  if (!ts.isBinaryExpression(node)) return false;
  const { kind } = node.operatorToken;
  return kind === ts.SyntaxKind.AmpersandAmpersandToken || kind === ts.SyntaxKind.BarBarToken;
}

/** What is answered with yes or no wherever it stands: a comparison, and a call that asks. */
function isAsked(node: ts.Node): node is ts.Expression {
  if (ts.isBinaryExpression(node)) {
    const { kind } = node.operatorToken;
    return BOUNDS.has(kind) || EQUALS.includes(kind);
  }
  if (ts.isPrefixUnaryExpression(node)) return node.operator === ts.SyntaxKind.ExclamationToken;
  if (!ts.isCallExpression(node)) return false;
  const called = ts.isPropertyAccessExpression(node.expression)
    ? node.expression.name.text
    : node.expression.getText();
  return ASKS.test(called);
}

/** The nearest thing with a name around a node. */
function within(node: ts.Node): string {
  for (let up: ts.Node | undefined = node.parent; up; up = up.parent) {
    if (ts.isFunctionDeclaration(up) && up.name) return up.name.text;
    if (ts.isMethodDeclaration(up) || ts.isPropertyAssignment(up)) return up.name.getText();
    if (ts.isVariableDeclaration(up) && up.parent.parent.parent.kind === ts.SyntaxKind.SourceFile)
      return up.name.getText();
  }
  return '';
}

/** At one position first what ends there, the innermost first; then what begins, the outermost first. */
function woven(text: string, edits: readonly Edit[]): string {
  const ends = ({ at, until }: Edit) => until < at;
  const inOrder = [...edits].sort((a, b) => {
    if (a.at !== b.at) return a.at - b.at;
    if (ends(a) !== ends(b)) return ends(a) ? -1 : 1;
    if (a.until !== b.until) return b.until - a.until;
    return b.rank - a.rank;
  });
  let from = 0;
  let out = '';
  for (const { at, text: put } of inOrder) {
    out += text.slice(from, at) + put;
    from = at;
  }
  return out + text.slice(from);
}
