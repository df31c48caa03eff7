/**
 * How much arithmetic one step of the patient really does: the package is bundled, every + - * / and comparison of its model is
 * made to count itself, and a patient is stepped. The bare loop does as many of each, on plain numbers, with nothing around.
 */
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { build } from 'esbuild';
import type * as Patient from '@breathline/patient';
import type TypeScript from 'typescript';

export interface Counts {
  readonly sums: number;
  readonly products: number;
  readonly quotients: number;
  readonly comparisons: number;
}

interface Counting {
  api: typeof Patient;
  counts: Float64Array;
}

/** Operations executed in each step, on average over `steps` of what `prepare` sets up. */
export async function countOf(
  prepare: (api: typeof Patient) => { model: Patient.PatientModel; state: Patient.PatientState },
  steps = 3000,
): Promise<Counts> {
  const ts = createRequire(import.meta.url)('typescript') as typeof TypeScript;
  const result = await build({
    entryPoints: [join(process.cwd(), 'packages/patient/src/index.ts')],
    bundle: true,
    write: false,
    format: 'iife',
    globalName: 'patientPackage',
    target: 'node20',
    logLevel: 'silent',
  });
  const code = result.outputFiles[0]!.text;
  const tree = ts.createSourceFile('patient.js', code, ts.ScriptTarget.ES2022, true, ts.ScriptKind.JS);
  const K = ts.SyntaxKind;
  const kindOf = new Map<TypeScript.SyntaxKind, number>([
    [K.PlusToken, 0],
    [K.MinusToken, 0],
    [K.AsteriskToken, 1],
    [K.SlashToken, 2],
    [K.LessThanToken, 3],
    [K.GreaterThanToken, 3],
    [K.LessThanEqualsToken, 3],
    [K.GreaterThanEqualsToken, 3],
  ]);
  const inserts: { at: number; text: string; order: number }[] = [];
  const visit = (node: TypeScript.Node): void => {
    if (ts.isBinaryExpression(node)) {
      const kind = kindOf.get(node.operatorToken.kind);
      if (kind !== undefined) {
        inserts.push({ at: node.getStart(tree), text: `(operationCounts[${kind}]++,`, order: 1 });
        inserts.push({ at: node.getEnd(), text: ')', order: 0 });
      }
    }
    ts.forEachChild(node, visit);
  };
  visit(tree);
  inserts.sort((a, b) => a.at - b.at || a.order - b.order);
  let counted = '';
  let from = 0;
  for (const { at, text } of inserts) {
    counted += code.slice(from, at) + text;
    from = at;
  }
  counted += code.slice(from);
  const make = new Function(
    `const operationCounts = new Float64Array(4);\n${counted}\nreturn { api: patientPackage, counts: operationCounts };`,
  ) as () => Counting;
  const { api, counts } = make();
  const { model, state } = prepare(api);
  counts.fill(0);
  for (let i = 0; i < steps; i++) api.stepPatient(model, state, 100);
  const [sums, products, quotients, comparisons] = [...counts].map((n) => Math.round(n / steps)) as [number, number, number, number]; // prettier-ignore
  return { sums, products, quotients, comparisons };
}

/** As much arithmetic, `steps` times over, on an array of plain numbers that stay near 1. */
export function bareLoop({ sums, products, quotients, comparisons }: Counts, steps: number): () => void {
  const cells = new Float64Array(64).fill(1.0001);
  return () => {
    let taken = 0;
    for (let i = 0; i < steps; i++) {
      for (let j = 0; j < sums; j++) cells[j & 63] = cells[(j + 7) & 63]! + 1e-12;
      for (let j = 0; j < products; j++) cells[j & 63] = cells[(j + 5) & 63]! * 0.9999999;
      for (let j = 0; j < quotients; j++) cells[j & 63] = 1 / cells[(j + 3) & 63]!;
      for (let j = 0; j < comparisons; j++) if (cells[j & 63]! > 1.5) taken++;
    }
    if (taken < 0) throw new Error('never');
  };
}
