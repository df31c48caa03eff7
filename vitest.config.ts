import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: [
      'packages/*/test/**/*.test.ts',
      'apps/*/test/**/*.test.ts',
      'tests/{reference,properties,faults,journeys}/**/*.test.ts',
    ],
    testTimeout: 60_000,
    hookTimeout: 120_000,
  },
});
