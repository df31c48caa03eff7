/**
 * Tells a thumb that bounced from two taps that were meant. A tired thumb lands twice in one place; between the two, what
 * stood there may have become another tap ("Ring", then "Answers now"), so the place counts, not the button.
 */
export interface Press {
  readonly atMs: number;
  /** Where, CSS pixels; null: by keyboard, which has no place. */
  readonly place: { readonly x: number; readonly y: number } | null;
  /** The button. */
  readonly on: unknown;
}

/** Common practice, no source: a double-click on most systems is two presses within half a second. */
const BOUNCE_MS = 400;
const SAME_PLACE_PX = 16;

/** Is `next` only an echo of `last`? Taps elsewhere on the screen are never echoes, however quick. */
export function isBounce(last: Press | null, next: Press): boolean {
  if (last === null || next.atMs - last.atMs >= BOUNCE_MS) return false;
  if (last.place === null || next.place === null) return last.on === next.on;
  return Math.hypot(next.place.x - last.place.x, next.place.y - last.place.y) <= SAME_PLACE_PX;
}

let last: Press | null = null;

// A thumb that has been elsewhere in between did not bounce, wherever it comes back to.
if (typeof document !== 'undefined') {
  document.addEventListener(
    'pointerdown',
    ({ clientX, clientY }) => {
      if (last?.place && Math.hypot(clientX - last.place.x, clientY - last.place.y) > SAME_PLACE_PX) last = null;
    },
    { capture: true },
  );
}

/** For a button's `onclick`: whether to act. Remembers the last tap that was acted on, of all such buttons. */
export function meant(event: MouseEvent): boolean {
  const next: Press = {
    atMs: event.timeStamp,
    place: event.detail === 0 ? null : { x: event.clientX, y: event.clientY },
    on: event.currentTarget,
  };
  if (isBounce(last, next)) return false;
  last = next;
  return true;
}

/** An `onclick` that a bounce does not set off twice. */
export const once =
  (act: () => void) =>
  (event: MouseEvent): void => {
    if (meant(event)) act();
  };
