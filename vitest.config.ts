import { build } from 'esbuild';
import { defineConfig } from 'vitest/config';

/** What only calculates. */
const pure = ['packages/*/test/**/*.test.ts', 'tests/{reference,properties}/**/*.test.ts'];
/** What has servers, browsers, files and clocks. */
const apps = ['apps/*/test/**/*.test.ts', 'tests/{faults,journeys}/**/*.test.ts'];
/** What is judged by the clock or by ear has the machine to itself, after everything else. */
const alone = [
  'apps/web/test/monitor/sound.test.ts',
  'tests/journeys/monitor-together.test.ts',
  'tests/journeys/debrief-speed.test.ts',
];

/** As many files at once as there are cores here: a third one saves little and makes every wait in a journey longer. */
const AT_ONCE = 2;

const patience = { testTimeout: 60_000, hookTimeout: 120_000 };
/**
 * One file's copy of a package, of the server and of the browser's driver serves the next: loading them anew for every file
 * was half of what the server's own tests cost. What a test puts in a global's place is put back after it.
 */
const oneProcess = { isolate: false, unstubGlobals: true, restoreMocks: true };

/**
 * A package comes to its tests in one piece, as the apps have it. The runner rewrites every name that one file takes from
 * another into a look-up; inside the patient, which takes thousands a step, that makes a step ten times slower. Files of a
 * package that a test asks for by their own name, and everything outside packages, come as they are.
 */
const packagesInOnePiece = {
  name: 'packages-in-one-piece',
  enforce: 'pre' as const,
  async load(id: string) {
    if (!/\/packages\/[a-z]+\/src\/index\.ts$/.test(id)) return null;
    const { outputFiles } = await build({
      entryPoints: [id],
      bundle: true,
      packages: 'external',
      format: 'esm',
      platform: 'node',
      target: 'node20',
      sourcemap: 'inline',
      sourcesContent: false,
      write: false,
      logLevel: 'silent',
    });
    return outputFiles[0]!.text;
  },
};

export default defineConfig({
  test: {
    projects: [
      {
        plugins: [packagesInOnePiece],
        test: {
          ...patience,
          ...oneProcess,
          name: 'pure',
          include: pure,
          maxWorkers: AT_ONCE,
          sequence: { groupOrder: 0 },
        },
      },
      {
        plugins: [packagesInOnePiece],
        test: {
          ...patience,
          ...oneProcess,
          name: 'together',
          include: apps,
          exclude: alone,
          maxWorkers: AT_ONCE,
          sequence: { groupOrder: 0 },
        },
      },
      {
        plugins: [packagesInOnePiece],
        test: { ...patience, name: 'alone', include: alone, maxWorkers: 1, sequence: { groupOrder: 1 } },
      },
    ],
  },
});
