export type * from './types.ts';
export { PROTOCOL_VERSION, MAX_FRAME_BYTES, STEERING_KINDS } from './types.ts';
export { ERRORS, problem, problemBody } from './errors.ts';
export type { ErrorCode, ErrorEntry, Problem, ProblemBody } from './errors.ts';
export { parseClientMessage, parseCommand } from './parse.ts';
export type { Parsed } from './parse.ts';
export { check, fits } from './check.ts';
export type { Checked } from './check.ts';
export * from './schemas.ts';
