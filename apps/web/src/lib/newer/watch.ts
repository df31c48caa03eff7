/** Watches for a newer build of the screens on the server, for as long as the page lives. */
import { updated } from '$app/state';
import { runUnderWay, whenTold } from '../api/under-way.ts';
import { toast } from '../ui/toasts.svelte.ts';
import { NewerScreen } from './newer-screen.ts';

const KEY = 'breathline-loaded-anew';
/** Until somebody chooses: as long as a timer can be set. */
const UNTIL_CHOSEN_MS = 2 ** 31 - 1;

const loadAnew = (): void => {
  try {
    sessionStorage.setItem(KEY, String(Date.now()));
  } catch {
    // Without a place to remember it, going round in circles could not be noticed.
    return;
  }
  location.reload();
};

const lastAtMs = (): number | null => {
  try {
    const kept = sessionStorage.getItem(KEY);
    return kept === null ? null : Number(kept);
  } catch {
    return null;
  }
};

/** Begins; returns what ends it. */
export function watchForNewer(): () => void {
  const screen = new NewerScreen({
    isOld: () => updated.check(),
    underWay: runUnderWay,
    isDrillScreen: () => /^\/(monitor|console|crew)(\/|$)/.test(location.pathname),
    ageMs: () => performance.now(),
    loadedAnewAtMs: lastAtMs,
    loadAnew,
    offer: () =>
      void toast('A newer Breathline is on the server.', {
        forMs: UNTIL_CHOSEN_MS,
        action: { label: 'Load it', run: () => location.reload() },
      }),
  });
  const look = (): void => void screen.look();
  const seen = (): void => {
    if (document.visibilityState !== 'hidden') look();
  };
  const deaf = whenTold(look);
  document.addEventListener('visibilitychange', seen);
  look();
  return () => {
    deaf();
    document.removeEventListener('visibilitychange', seen);
  };
}
