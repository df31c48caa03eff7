/** Each illness against its published behaviours; the source stands in each test's name. */
import { describe, expect, it } from 'vitest';
import { bundled } from '../../packages/patient/test/bundled.ts';
import { BEHAVIOURS } from './behaviours.ts';

const api = await bundled();

describe('published behaviours', () => {
  it.each(BEHAVIOURS.map((b) => [b.name, b.source, b] as const))('%s (%s)', (_name, source, behaviour) => {
    expect(source.length).toBeGreaterThan(10);
    behaviour.check(api);
  });
});
