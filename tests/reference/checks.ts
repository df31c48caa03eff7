/** Words for checks that run on any copy of the patient: each throws with both numbers, so a failure explains itself. */
import type { InnerApi } from '../../packages/patient/test/bundled.ts';

export type { InnerApi };

export interface Law {
  readonly name: string;
  readonly source: string;
  check(api: InnerApi): void;
}

/** Throws unless a < b. */
export function below(a: number, b: number, what: string): void {
  if (!(a < b)) throw new Error(`${what}: ${a} is not below ${b}`);
}
/** Throws unless lo <= v <= hi. */
export function inside(v: number, lo: number, hi: number, what: string): void {
  if (!(v >= lo && v <= hi)) throw new Error(`${what}: ${v} is outside ${lo} to ${hi}`);
}
/** Throws unless v is within `slack` of want. */
export function near(v: number, want: number, slack: number, what: string): void {
  if (!(Math.abs(v - want) <= slack)) throw new Error(`${what}: ${v} is not within ${slack} of ${want}`);
}
export function holds(fact: boolean, what: string): void {
  if (!fact) throw new Error(what);
}
