export type * from './types.ts';
export { STEP_MS } from './types.ts';
