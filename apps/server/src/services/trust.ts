/**
 * A file may say that a clinician checked its numbers; only this site's own library can be believed. What came in with a
 * file keeps such a mark only where the library here holds the very same line with the very same mark.
 */
import type { RunExport } from '@breathline/engine';
import type { Library } from '@breathline/scenario';

/** A value as text with its keys in order, so that two equal ones read the same. */
const canonical = (value: unknown): string =>
  JSON.stringify(value, (_key, inner: unknown) =>
    typeof inner === 'object' && inner !== null && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  );

/** The same tree without a `checkedBy` anywhere in it. */
const withoutMarks = <T>(value: T): T => {
  if (typeof value !== 'object' || value === null) return value;
  if (Array.isArray(value)) return value.map(withoutMarks) as T;
  const entries = Object.entries(value).filter(([key]) => key !== 'checkedBy');
  return Object.fromEntries(entries.map(([key, inner]) => [key, withoutMarks(inner)])) as T;
};

const believed = <T extends { readonly id: string }>(items: readonly T[], own: readonly T[]): T[] => {
  const known = new Set(own.map(canonical));
  return items.map((item) => (known.has(canonical(item)) ? item : withoutMarks(item)));
};

/** The run with no mark of checking that this site did not make itself. */
export const trustOwnChecksOnly = (run: RunExport, own: Library): RunExport => {
  const { library, scenario } = run.definition;
  return {
    ...run,
    definition: {
      ...run.definition,
      scenario: withoutMarks(scenario),
      library: {
        ...library,
        interventions: believed(library.interventions, own.interventions),
        packs: believed(library.packs, own.packs),
      },
    },
  };
};
