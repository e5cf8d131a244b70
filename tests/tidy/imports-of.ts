import ts from 'typescript';
import type { SourceFile } from './tree.ts';

export interface Import {
  specifier: string;
  /** Erased before it runs: `import type`, or every name marked `type`. */
  typeOnly: boolean;
}

/** Every import and re-export of a file, those of a component's scripts too. */
export function importsOf({ path, text }: SourceFile): Import[] {
  const scripts = path.endsWith('.svelte')
    ? [...text.matchAll(/<script[^>]*>([\s\S]*?)<\/script>/g)].map((match) => match[1] ?? '')
    : [text];
  return scripts.flatMap((script) => importsIn(script));
}

function importsIn(text: string): Import[] {
  const found: Import[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) && ts.isStringLiteral(node.moduleSpecifier))
      found.push({ specifier: node.moduleSpecifier.text, typeOnly: isTypeImport(node) });
    else if (ts.isExportDeclaration(node) && node.moduleSpecifier !== undefined)
      found.push({
        specifier: (node.moduleSpecifier as ts.StringLiteral).text,
        typeOnly: isTypeExport(node),
      });
    else if (isDynamicImport(node))
      found.push({ specifier: node.arguments[0].text, typeOnly: false });
    ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile('file.ts', text, ts.ScriptTarget.Latest, true));
  return found;
}

function isTypeImport(node: ts.ImportDeclaration): boolean {
  const clause = node.importClause;
  if (clause === undefined) return false;
  if (clause.phaseModifier === ts.SyntaxKind.TypeKeyword) return true;
  const names = clause.namedBindings;
  return (
    clause.name === undefined &&
    names !== undefined &&
    ts.isNamedImports(names) &&
    names.elements.length > 0 &&
    names.elements.every((one) => one.isTypeOnly)
  );
}

function isTypeExport(node: ts.ExportDeclaration): boolean {
  if (node.isTypeOnly) return true;
  const names = node.exportClause;
  return (
    names !== undefined &&
    ts.isNamedExports(names) &&
    names.elements.length > 0 &&
    names.elements.every((one) => one.isTypeOnly)
  );
}

function isDynamicImport(
  node: ts.Node,
): node is ts.CallExpression & { arguments: [ts.StringLiteralLike] } {
  return (
    ts.isCallExpression(node) &&
    node.expression.kind === ts.SyntaxKind.ImportKeyword &&
    node.arguments[0] !== undefined &&
    ts.isStringLiteralLike(node.arguments[0])
  );
}
