/** Facts every projection needs, read from the run itself so that they survive a restart. */
import type { RunView } from '@breathline/engine';

/** A real emergency has been called: every screen goes blank. */
export const isBlank = (view: RunView): boolean => view.realEmergency;

/** The server came back during this run and nobody has resumed it yet. */
export const isRestarted = (view: RunView): boolean => view.phase === 'paused' && view.pausedWhy === 'server-restart';

/** Said where it holds, on every screen: somebody in the room, not the patient, is not all right. */
export const notAllRight = (view: RunView): { readonly notAllRight?: true } =>
  view.phase === 'paused' && view.pausedWhy === 'someone-not-all-right' ? { notAllRight: true } : {};
