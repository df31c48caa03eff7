/**
 * Every plus and minus in the patient's source, each turned into the other in a copy: for asking which checks notice. The
 * package is bundled once; a copy is that text with one sign changed.
 */
import { runInThisContext } from 'node:vm';
import ts from 'typescript';

export { bundle, load } from '../../packages/patient/test/bundled.ts';

export interface Sign {
  /** Source file within packages/patient/src. */
  readonly file: string;
  /** The expression it stands in, as bundled, and which of its like in that file. */
  readonly text: string;
  readonly nth: number;
  readonly start: number;
  readonly end: number;
  readonly to: string;
}

/** Files whose numbers reach the patient; words and messages are left out. */
const WATCHED = /^(core|diseases|drugs|norms|maths)\//;

/** Signs in the bundled text: + and - between numbers, += and -=, and a minus before an expression. */
export function signsOf(code: string): Sign[] {
  const tree = ts.createSourceFile('patient.js', code, ts.ScriptTarget.ES2022, true, ts.ScriptKind.JS);
  const files: { from: number; name: string }[] = [];
  for (const found of code.matchAll(/^\s*\/\/ (\S*?packages\/patient\/src\/)?(\S+\.ts)$/gm))
    files.push({ from: found.index, name: found[2]! });
  const fileAt = (at: number) => files.filter((f) => f.from < at).pop()?.name ?? '';
  const counts = new Map<string, number>();
  const signs: Sign[] = [];
  const add = (node: ts.Node, start: number, end: number, to: string) => {
    const file = fileAt(start);
    if (!WATCHED.test(file)) return;
    // A bundler numbers names that clash: `at4` is `at`, so that what it is called does not hang on other files.
    const text = node
      .getText(tree)
      .replace(/\s+/g, ' ')
      .replace(/\b([A-Za-z_]\w*?)\d+\b/g, '$1')
      .slice(0, 160);
    const key = `${file}|${text}`;
    const nth = counts.get(key) ?? 0;
    counts.set(key, nth + 1);
    signs.push({ file, text, nth, start, end, to });
  };
  const OTHER = new Map<ts.SyntaxKind, string>([
    [ts.SyntaxKind.PlusToken, '-'],
    [ts.SyntaxKind.MinusToken, '+'],
    [ts.SyntaxKind.PlusEqualsToken, '-='],
    [ts.SyntaxKind.MinusEqualsToken, '+='],
  ]);
  const isText = (node: ts.Node): boolean =>
    ts.isStringLiteralLike(node) ||
    ts.isTemplateExpression(node) ||
    (ts.isBinaryExpression(node) && (isText(node.left) || isText(node.right)));
  const visit = (node: ts.Node): void => {
    if (ts.isBinaryExpression(node)) {
      const to = OTHER.get(node.operatorToken.kind);
      if (to !== undefined && !isText(node))
        add(node, node.operatorToken.getStart(tree), node.operatorToken.getEnd(), to);
    } else if (ts.isPrefixUnaryExpression(node) && node.operator === ts.SyntaxKind.MinusToken)
      add(node, node.getStart(tree), node.operand.getStart(tree), '+');
    ts.forEachChild(node, visit);
  };
  visit(tree);
  return signs;
}

export const turned = (code: string, sign: Sign): string => code.slice(0, sign.start) + sign.to + code.slice(sign.end);

/** Runs work, giving up (and saying so) after a time: a turned sign can make a loop endless. */
export function within<T>(ms: number, work: () => T): T {
  const holder = globalThis as { boundedWork?: () => T };
  holder.boundedWork = work;
  return runInThisContext('globalThis.boundedWork()', { timeout: ms }) as T;
}

/** The same each day and after edits elsewhere: which signs a sample takes. */
export function inSample(sign: Sign, of: number, turn = 0): boolean {
  let hash = 0x811c9dc5;
  for (const c of `${sign.file}|${sign.text}|${sign.nth}`) hash = Math.imul(hash ^ c.charCodeAt(0), 0x01000193);
  return (hash >>> 4) % of === turn;
}
