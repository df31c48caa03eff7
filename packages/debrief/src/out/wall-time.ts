/** Wall times are labels of a run; these turn them into numbers and back, and read no clock. */
/* eslint-disable no-restricted-globals */

/** Milliseconds since 1970 of an ISO 8601 text; NaN when it is none. */
export const wallMs = (iso: string): number => Date.parse(iso);

/** ISO 8601 UTC of milliseconds since 1970. */
export const isoOf = (ms: number): string => new Date(ms).toISOString();
