import { defineConfig } from 'vitest/config';

const everything = [
  'packages/*/test/**/*.test.ts',
  'apps/*/test/**/*.test.ts',
  'tests/{reference,properties,faults,journeys}/**/*.test.ts',
];
/** What is judged by the clock or by ear has the machine to itself, after everything else. */
const alone = ['apps/web/test/monitor/sound.test.ts', 'tests/journeys/monitor-together.test.ts'];

const patience = { testTimeout: 60_000, hookTimeout: 120_000 };

export default defineConfig({
  test: {
    projects: [
      {
        test: {
          ...patience,
          name: 'together',
          include: everything,
          exclude: alone,
          maxWorkers: 2,
          sequence: { groupOrder: 0 },
        },
      },
      { test: { ...patience, name: 'alone', include: alone, maxWorkers: 1, sequence: { groupOrder: 1 } } },
    ],
  },
});
