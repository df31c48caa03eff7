/** "That was 20 s ago": how far back the next tap is dated. It falls back to now after one tap. */
import { spanText } from './format.ts';

/** The choices shown, ms. */
export const BACKDATES: readonly number[] = [0, 10_000, 20_000, 30_000, 60_000, 120_000];

/** Longest backdating the console offers, ms. */
export const MOST_BACKDATE_MS = 600_000;

/** Words on a chip. */
export function backdateText(agoMs: number): string {
  return agoMs === 0 ? 'now' : `${spanText(agoMs)} ago`;
}

/** The next step when the key is pressed again: 10 s more, round to now after two minutes. */
export function nextBackdate(agoMs: number): number {
  return agoMs >= 120_000 ? 0 : agoMs + 10_000;
}

/** Nothing happens before the run began: an ago longer than the run is cut to it. */
export function clampAgo(agoMs: number, clockMs: number): number {
  return Math.max(0, Math.min(agoMs, clockMs, MOST_BACKDATE_MS));
}
