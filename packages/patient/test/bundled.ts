/**
 * The package with its inner parts as one script: for checks that run hours of illness and look inside, and for copies of
 * the model with one sign or one turn changed. The runner gives only a package's front in one piece (vitest.config.ts).
 */
import { fileURLToPath } from 'node:url';
import { runInThisContext } from 'node:vm';
import { build } from 'esbuild';
import type * as Inner from './inner.ts';

export type InnerApi = typeof Inner;

/** The whole package as one script that evaluates to its exports. */
export async function bundle(): Promise<string> {
  const result = await build({
    entryPoints: [fileURLToPath(new URL('./inner.ts', import.meta.url))],
    bundle: true,
    write: false,
    format: 'iife',
    globalName: 'patientPackage',
    target: 'node20',
    logLevel: 'silent',
  });
  return result.outputFiles[0]!.text;
}

/** The exports of a bundled text, as plain values. */
export function load(code: string): InnerApi {
  return { ...runInThisContext(`(() => {${code}\nreturn patientPackage;})()`) } as InnerApi;
}

/** The package as it is, bundled and loaded. */
export const bundled = async (): Promise<InnerApi> => load(await bundle());
