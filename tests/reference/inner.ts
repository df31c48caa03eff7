/** The patient package with the inner equations beside it. */
export * from '../../packages/patient/test/inner.ts';
