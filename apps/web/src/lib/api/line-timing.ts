/** How patient a screen's line to a run is; see run-socket.ts. */

/** Waits before each try that was turned away at once, ms: the last repeats, so that a returning server is soon noticed. */
export const BACKOFF_MS = [150, 400, 800, 1_000];
/** A line that says nothing is asked whether it lives, ms. */
export const PING_EVERY_MS = 2_000;
/** Silence past this means the line is dead even if the browser has not noticed: a server speaks at least once a second. */
export const SILENCE_MS = 3_000;
export const BEAT_MS = 250;
/** From the join to the server's greeting: it may have a whole run to read from disk first, ms. */
export const JOIN_PATIENCE_MS = 3_000;
/** The page was away, or the network changed: a line that does not answer a ping within this is replaced, ms. */
export const PROVE_MS = 800;
/** A command without an answer for this long is sent again: the server may have dropped it for haste. */
export const RESEND_MS = 4_000;
/** After "too many attempts". */
export const TOLD_TO_WAIT_MS = 5_000;
/** The steady clock and the wall's apart by more since the last beat: the device slept, and its clock must be set anew, ms. */
export const DRIFT_MS = 250;
