/**
 * The engine as one script: what an app runs. The test runner rewrites every import into a look-up, which makes a step several
 * times slower, so checks that play hours of rehearsals use this copy; the pinned numbers are checked on the source itself.
 */
import { fileURLToPath } from 'node:url';
import { runInThisContext } from 'node:vm';
import { build } from 'esbuild';
import type * as Engine from '../src/index.ts';

/** The engine as it is, bundled and loaded. */
export async function bundledEngine(): Promise<typeof Engine> {
  const result = await build({
    entryPoints: [fileURLToPath(new URL('../src/index.ts', import.meta.url))],
    bundle: true,
    write: false,
    format: 'iife',
    globalName: 'enginePackage',
    target: 'node20',
    logLevel: 'silent',
  });
  return { ...runInThisContext(`(() => {${result.outputFiles[0]!.text}\nreturn enginePackage;})()`) } as typeof Engine;
}
