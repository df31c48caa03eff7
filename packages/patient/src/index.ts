export type * from './types.ts';
export { GRADES } from './types.ts';
