/** A run file of another version is told as that, before its lines are looked at. */
import { expect, it } from 'vitest';
import { checkRunExport } from '../src/index.ts';

it('names the version found and the one read, in place of the first line that differs', () => {
  const told = (file: object) => {
    const found = checkRunExport(file);
    return found.ok ? '' : found.message;
  };
  expect(told({ format: 'breathline-run', formatVersion: 99 })).toBe(
    'The file is of format version 99; this server reads version 1.',
  );
  expect(told({ format: 'breathline-run', formatVersion: 'two' })).toContain('that is no number');
  // Without a version something else is amiss, and is said.
  expect(told({ format: 'breathline-run' })).not.toContain('this server reads');
});
