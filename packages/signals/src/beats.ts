/**
 * One scheduler of heartbeats for every trace and tone, so that a QRS, its pulse and its beep are the same beat.
 */
import { createCycles } from './cycles.ts';
import { hasBeats, kindOf, rhythmNamed, variationOf } from './rhythm.ts';
import { signedAt, unitAt } from './seeded.ts';
import { createSteps } from './timeline.ts';
import type { Beat, RhythmName } from './types.ts';

const STREAM_LF = 1;
const STREAM_HF = 2;
const STREAM_ECTOPIC = 3;
/** Share of beats that are ectopic in the rhythm of that name: common practice, no source. */
const ECTOPIC_SHARE = 0.14;
/** How early an ectopic comes, in beats. The next beat keeps its place: a full compensatory pause. */
const ECTOPIC_EARLY = -0.36;
/** Lines per band; a handful of close lines makes a band without a visible period. */
const LINES = 5;
/** Power in the 0.1 Hz band over that in the breathing band, default of the published program (McSharry et al. 2003). */
const LF_OVER_HF = 0.5;

/** What is known about the heart at one moment. */
export interface BeatKey {
  readonly atMs: number;
  readonly rhythm: string | null;
  readonly ratePerMin: number;
  /** `false`: no beat makes a pulse. `null`: as the rhythm usually does. */
  readonly pulsed: boolean | null;
  readonly count?: number | null;
}

export interface Beats {
  /** Adds what is known at a run-clock time. */
  push(key: BeatKey): void;
  /** The beat before a time and the next foreseen. */
  around(atMs: number): { readonly before: Beat | null; readonly after: Beat | null };
  /** Beats in (fromMs, toMs]; for tones and tests. */
  between(fromMs: number, toMs: number): readonly Beat[];
  /** Rhythm in force; null before the first key or with no lead. */
  rhythmAt(atMs: number): RhythmName | null;
  /** When the rhythm in force began, as far back as is remembered (about 40 s). */
  rhythmSinceMs(atMs: number): number | null;
  rateAt(atMs: number): number;
  reset(): void;
}

interface Line {
  readonly hz: number;
  readonly phase: number;
  readonly weight: number;
}

/** Lines about a centre, weights falling as a Gaussian of 0.01 Hz about it; squares of the weights sum to 2. */
function band(seed: number, stream: number, centreHz: number, sdHz: number): readonly Line[] {
  const raw = Array.from({ length: LINES }, (_, i) => {
    const place = (i - (LINES - 1) / 2) / 1.5 + 0.3 * signedAt(seed, stream, i * 2);
    return {
      hz: Math.max(0.02, centreHz + place * sdHz),
      phase: 2 * Math.PI * unitAt(seed, stream, i * 2 + 1),
      weight: Math.exp((-place * place) / 2),
    };
  });
  const power = raw.reduce((sum, line) => sum + line.weight * line.weight, 0);
  return raw.map((line) => ({ ...line, weight: line.weight * Math.sqrt(2 / power) }));
}

/**
 * Makes the beat scheduler of a run.
 *
 * R-R intervals have the two-band spectrum of McSharry et al. (IEEE Trans Biomed Eng 2003;50:289-94): 0.1 Hz and
 * 0.25 Hz. The beats are displaced by a bounded amount about an even train, so the mean rate is exactly the one asked
 * for and a screen that joins late has the same beats.
 */
export function createBeats(seed: number): Beats {
  const rhythms = createSteps<RhythmName | null>();
  const pulses = createSteps<boolean | null>();
  const low = band(seed, STREAM_LF, 0.1, 0.01);
  const high = band(seed, STREAM_HF, 0.25, 0.01);
  const lowShare = Math.sqrt(LF_OVER_HF / (1 + LF_OVER_HF));
  const highShare = Math.sqrt(1 / (1 + LF_OVER_HF));

  const isEctopic = (n: number): boolean => {
    const drawn = (k: number): boolean => unitAt(seed, STREAM_ECTOPIC, k) < ECTOPIC_SHARE;
    return drawn(n) && !drawn(n - 1);
  };

  /** Displacement in beats whose successive differences have the wanted spread. */
  function wander(atMs: number, periodMs: number, spread: number): number {
    let sum = 0;
    for (const [lines, share] of [
      [low, lowShare],
      [high, highShare],
    ] as const) {
      for (const line of lines) {
        // A difference of two samples of a sine one period apart has 2 sin(pi f T) times its amplitude.
        const gain = Math.max(0.3, 2 * Math.abs(Math.sin((Math.PI * line.hz * periodMs) / 1000)));
        sum += ((share * line.weight) / gain) * Math.sin((2 * Math.PI * line.hz * atMs) / 1000 + line.phase);
      }
    }
    return Math.max(-0.2, Math.min(0.2, sum * spread));
  }

  const cycles = createCycles<Beat>(
    (n, evenAtMs, periodMs) => {
      const rhythm = rhythms.at(evenAtMs) ?? 'sinus';
      const place = wander(evenAtMs, periodMs, variationOf(rhythm, 60_000 / periodMs));
      return place + (rhythm === 'ectopics' && isEctopic(n) ? ECTOPIC_EARLY : 0);
    },
    (mark, previous) => {
      const rhythm = rhythms.at(mark.atMs) ?? 'sinus';
      const ectopic = rhythm === 'ectopics' && isEctopic(mark.n);
      const pulsed = pulses.at(mark.atMs) ?? (rhythm !== 'pea' && rhythm !== 'vt');
      // A beat after a pause fills more; an early one fills less (Frank-Starling, in kind only).
      const filling = previous ? Math.min(1.2, Math.max(0.35, (mark.atMs - previous.atMs) / mark.periodMs)) : 1;
      return {
        ...mark,
        kind: ectopic ? 'ectopic' : kindOf(rhythm),
        pulse: pulsed ? (rhythm === 'vt' ? 0.6 : 1) * (0.5 + 0.5 * filling) * (ectopic ? 0.55 : 1) : 0,
      };
    },
  );

  return {
    push(key) {
      const rhythm = rhythmNamed(key.rhythm);
      rhythms.push(key.atMs, rhythm);
      pulses.push(key.atMs, key.pulsed);
      const beating = rhythm === null || hasBeats(rhythm);
      cycles.push({ atMs: key.atMs, ratePerMin: beating ? key.ratePerMin : 0, count: key.count });
    },
    around: (atMs) => cycles.around(atMs),
    between: (fromMs, toMs) => cycles.between(fromMs, toMs),
    rhythmAt: (atMs) => rhythms.at(atMs),
    rhythmSinceMs: (atMs) => rhythms.since(atMs),
    rateAt: (atMs) => cycles.rateAt(atMs),
    reset() {
      cycles.reset();
      rhythms.reset();
      pulses.reset();
    },
  };
}
