/** The patient package with the inner equations beside it, for checks that look at one equation, and for copies of it. */
export * from '../../packages/patient/src/index.ts';
export * as equations from '../../packages/patient/src/core/gas.ts';
export * as ledgers from '../../packages/patient/src/core/ledger.ts';
export { SLOTS } from '../../packages/patient/src/core/layout.ts';
