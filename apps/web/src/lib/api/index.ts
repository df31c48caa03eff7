/** Everything a screen needs to talk to the server. */
export { api } from './client.ts';
export { ApiError, asApiError } from './errors.ts';
export { requireFaculty, safeNext, type FacultySession } from './session.ts';
export { LiveRun, LiveMonitor } from './live-run.svelte.ts';
export { RunSocket, newClientId, type ConnectionState } from './run-socket.ts';
export { keepJoinCode, keptJoinCode, takeJoinTicket, tidyCode } from './join-store.ts';
export type * from './shapes.ts';
