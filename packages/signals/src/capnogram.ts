/**
 * Expired carbon dioxide against time. In expiration u runs 0 to 1 and C(u) = EtCO2 g(u)/g(1), a logistic upstroke on
 * a sloping plateau; obstruction delays the upstroke, broadens it and tilts the plateau ("shark fin"). The phases and
 * the widening of the angle between them in obstruction are textbook physiology (time capnography, phases 0 to III);
 * the constants are common practice, no source.
 */
import { breathPlaceAt } from './breathing.ts';
import type { Breaths } from './breaths.ts';

/** Fresh gas washes the line out with this time constant at inspiration, ms. */
const INSPIRATORY_FALL_MS = 60;
/** With no breath the sampled gas drifts to room air, ms. */
const APNOEA_FALL_MS = 700;
/** Sidestream line: what is drawn left the airway this long ago (1 to 3 s in practice), ms. */
export const CAPNOGRAPH_DELAY_MS = 1500;

function shape(u: number, b: number): number {
  const middle = 0.1 + 0.2 * b;
  const width = 0.02 + 0.13 * b;
  const tilt = 0.06 + 0.55 * b;
  return (1 / (1 + Math.exp(-(u - middle) / width))) * (1 + tilt * (u - 1));
}

/**
 * Share of end-tidal CO2 at a place in expiration.
 *
 * @param u 0 (start of expiration) to 1 (its end)
 * @param bronchospasmFraction 0 (none) to 1 (worst)
 */
export function expiredShare(u: number, bronchospasmFraction: number): number {
  const b = Math.min(1, Math.max(0, bronchospasmFraction));
  const place = Math.min(1, Math.max(0, u));
  const floor = shape(0, b);
  return (shape(place, b) - floor) / (shape(1, b) - floor);
}

/** CO2 at the sample port at a run-clock time, mmHg. `etco2At` gives the end-tidal value in force at a time. */
export function capnogramAt(
  breaths: Breaths,
  atMs: number,
  etco2At: (atMs: number) => number,
  bronchospasmAt: (atMs: number) => number,
): number {
  const at = atMs - CAPNOGRAPH_DELAY_MS;
  const b = bronchospasmAt(at);
  const place = breathPlaceAt(breaths, at, b);
  if (!place) return 0;
  if (!place.inspiring) {
    const end = Math.max(0, etco2At(place.startMs));
    const pastMs = at - (place.expirationStartMs + place.expirationMs);
    const washed = pastMs > 0 && place.nextMs === null ? Math.exp(-pastMs / APNOEA_FALL_MS) : 1;
    return end * expiredShare(place.part, b) * washed;
  }
  const earlier = breathPlaceAt(breaths, place.startMs - 1, b);
  if (!earlier) return 0;
  // A long pause has washed out already.
  const pausedMs = place.startMs - (earlier.expirationStartMs + earlier.expirationMs);
  const left = pausedMs > 2 ? Math.exp(-pausedMs / APNOEA_FALL_MS) : 1;
  return Math.max(0, etco2At(earlier.startMs)) * left * Math.exp(-(at - place.startMs) / INSPIRATORY_FALL_MS);
}
