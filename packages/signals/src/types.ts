/**
 * The shapes signals are made from. Times are run-clock milliseconds; rates are per minute.
 *
 * The package stands alone: a few numbers, a seed and a time go in, samples come out. Nothing is read from a clock,
 * so two screens given the same numbers draw the same trace.
 */

/** Heart rhythms that can be drawn. `pea` is an organised ECG with no pulse. */
export const RHYTHM_NAMES = ['sinus', 'bradycardia', 'svt', 'vt', 'vf', 'pea', 'asystole', 'ectopics'] as const;
export type RhythmName = (typeof RHYTHM_NAMES)[number];

/** What the traces are drawn from, as it stood at one run-clock moment. `null`: that device shows nothing. */
export interface TraceDrive {
  readonly rhythm: string | null;
  /** Electrical rate from the leads, per minute. */
  readonly ecgRatePerMin: number | null;
  /** Used for the pleth when no lead is on, per minute. */
  readonly pulseRatePerMin?: number | null;
  /** Whether beats reach the finger. `null` or absent: as the rhythm usually does. */
  readonly pulsed: boolean | null;
  /** 0 to 1: pleth height against a well perfused finger. */
  readonly plethFraction: number | null;
  readonly breathRatePerMin: number | null;
  /** 0 to about 2: chest movement against a quiet breath. */
  readonly breathDepthFraction: number | null;
  /** 0 to 1: how obstructed expiration is. */
  readonly bronchospasmFraction: number | null;
  /** End of expiration, mmHg. */
  readonly etco2MmHg: number | null;
  /** 0 to 1: how much the patient moves under the probe and the leads. */
  readonly motionFraction?: number | null;
  /** Beats since the run began, with the part beat: keeps screens that joined late in step. */
  readonly beatCount?: number | null;
  /** Breaths since the run began, with the part breath. */
  readonly breathCount?: number | null;
}

/** How a beat is conducted, which decides its shape. */
export type BeatKind = 'sinus' | 'narrow' | 'wide' | 'ectopic' | 'pulseless';

/** One heartbeat, placed at the peak of its R wave. */
export interface Beat {
  /** Beat number since the run began. */
  readonly n: number;
  /** Run-clock ms of the R wave. */
  readonly atMs: number;
  /** Expected ms to the next beat, from the rate at this one. */
  readonly periodMs: number;
  readonly kind: BeatKind;
  /** 0 to about 1.2: how much of a pulse it makes. 0: none. */
  readonly pulse: number;
}

/** One breath, placed at the start of inspiration. */
export interface Breath {
  readonly n: number;
  readonly atMs: number;
  readonly periodMs: number;
  /** Seeded size of this breath against its neighbours, about 0.85 to 1.15. */
  readonly size: number;
}
