/** The patient package with the inner equations beside it, for checks that look at one equation, and for copies of it. */
export * from '../src/index.ts';
export * as equations from '../src/core/gas.ts';
export * as ledgers from '../src/core/ledger.ts';
export { SLOTS } from '../src/core/layout.ts';
export { DISEASE_ORDER } from '../src/diseases/patterns.ts';
export * as mechanisms from '../src/diseases/mechanisms.ts';
