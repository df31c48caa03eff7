export type * from './types.ts';
export { PROTOCOL_VERSION, MAX_FRAME_BYTES, STEERING_KINDS } from './types.ts';
