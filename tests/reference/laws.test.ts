/** Each law on the package itself; the source stands in each test's name. */
import { describe, expect, it } from 'vitest';
import { bundled } from '../../packages/patient/test/bundled.ts';
import { LAWS } from './laws.ts';

const api = await bundled();

describe('laws', () => {
  it.each(LAWS.map((law) => [law.name, law.source, law] as const))('%s (%s)', (_name, source, law) => {
    expect(source.length).toBeGreaterThan(5);
    law.check(api);
  });
});
