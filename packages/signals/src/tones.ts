/**
 * What is heard, as data: the pitch of the pulse tone and the timing of alarm bursts. The screens make the sound.
 *
 * Alarm timings lie inside the ranges published for IEC 60601-1-8 (secondary sources, named in the tests; the standard
 * itself was not opened). A training display claims no conformity with it.
 */

/** Pitch with a full saturation, Hz. */
const TONE_TOP_HZ = 784;
/** Half a semitone for each point of saturation. */
const TONE_STEPS_PER_OCTAVE = 24;
const TONE_FLOOR_HZ = 150;
/** Length of one pulse tone, ms. */
export const PULSE_TONE_MS = 70;

/** Pitch of the pulse tone for a saturation, Hz: falls as saturation falls (ISO 80601-2-61 asks that of it). Our own mapping. */
export function pulseToneHz(spo2Percent: number): number {
  const s = Math.min(100, Math.max(0, Number.isFinite(spo2Percent) ? spo2Percent : 0));
  return Math.max(TONE_FLOOR_HZ, TONE_TOP_HZ * Math.pow(2, (s - 100) / TONE_STEPS_PER_OCTAVE));
}

/** Loudness of a tone through its length, 0 to 1, with raised-cosine edges so that it does not click. */
export function toneEnvelope(atMs: number, lengthMs: number = PULSE_TONE_MS, edgeMs = 12): number {
  if (atMs <= 0 || atMs >= lengthMs) return 0;
  const edge = Math.min(edgeMs, lengthMs / 2);
  const near = Math.min(atMs, lengthMs - atMs);
  return near >= edge ? 1 : 0.5 * (1 - Math.cos((Math.PI * near) / edge));
}

export type AlarmPriority = 'high' | 'medium' | 'low';

/** One sounding pulse of a burst; times from the start of the burst, ms. */
export interface AlarmPulse {
  readonly startMs: number;
  readonly lengthMs: number;
}

export interface AlarmBurst {
  readonly priority: AlarmPriority;
  readonly pulses: readonly AlarmPulse[];
  /** From the end of one burst to the start of the next, ms. */
  readonly restMs: number;
  readonly fundamentalHz: number;
  /** Partials as multiples of the fundamental, with level in dB against the first. */
  readonly partials: readonly { readonly multiple: number; readonly dB: number }[];
  /** Flash of the lamp; null: steady. */
  readonly flashHz: number | null;
}

const PARTIALS = [
  { multiple: 1, dB: 0 },
  { multiple: 2, dB: -4 },
  { multiple: 3, dB: -7 },
  { multiple: 4, dB: -9 },
  { multiple: 5, dB: -12 },
] as const;

function pulses(lengthMs: number, gapsMs: readonly number[]): readonly AlarmPulse[] {
  let startMs = 0;
  const all: AlarmPulse[] = [{ startMs, lengthMs }];
  for (const gap of gapsMs) {
    startMs += lengthMs + gap;
    all.push({ startMs, lengthMs });
  }
  return all;
}

const HIGH = { length: 150, gap: 100, halfGap: 600 } as const;
const HALF = [HIGH.gap, HIGH.gap, 2 * HIGH.gap + HIGH.length, HIGH.gap];

const BURSTS: Readonly<Record<AlarmPriority, AlarmBurst>> = {
  // Five pulses in a 3+2 rhythm, twice.
  high: {
    priority: 'high',
    pulses: pulses(HIGH.length, [...HALF, HIGH.halfGap, ...HALF]),
    restMs: 6000,
    fundamentalHz: 523,
    partials: PARTIALS,
    flashHz: 2,
  },
  medium: {
    priority: 'medium',
    pulses: pulses(180, [200, 200]),
    restMs: 12_000,
    fundamentalHz: 440,
    partials: PARTIALS,
    flashHz: 0.6,
  },
  low: {
    priority: 'low',
    pulses: pulses(180, []),
    restMs: 20_000,
    fundamentalHz: 392,
    partials: PARTIALS,
    flashHz: null,
  },
};

/** The burst of a priority. */
export function alarmBurst(priority: AlarmPriority): AlarmBurst {
  return BURSTS[priority];
}

/** Length of a burst from its first pulse to the end of its last, ms. */
export function burstLengthMs(burst: AlarmBurst): number {
  const last = burst.pulses.at(-1);
  return last ? last.startMs + last.lengthMs : 0;
}
