/** Everything a screen needs to talk to the server. */
export { api } from './client.ts';
export { ApiError, asApiError, wordsOf } from './errors.ts';
export { forgetFaculty, requireFaculty, safeNext, type FacultySession } from './session.ts';
export { LiveRun, LiveMonitor, LiveCrew } from './live-run.svelte.ts';
export { RunSocket, newClientId, type AnyFrame, type ConnectionState, type LeftTap } from './run-socket.ts';
export {
  CREW_CODE_LENGTH,
  LEARNER_CODE_LENGTH,
  keepJoinCode,
  keepSite,
  keptJoinCode,
  takeJoinTicket,
  tidyCode,
} from './join-store.ts';
export { keptCrewPlace, leaveCrew, takeCrewPlace, takeCrewTicket, type CrewPlace } from './crew-store.ts';
export { photoAddress, sendPhoto, smallPicture, type PhotoDoor } from './photos.ts';
export type * from './shapes.ts';
