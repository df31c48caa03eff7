/**
 * The electrocardiogram: the dynamical model of McSharry, Clifford, Tarassenko and Smith (IEEE Trans Biomed Eng
 * 2003;50:289-94), evaluated straight from beat phase. Solving its z equation along the limit cycle gives a sum of
 * Gaussians in angle of height a*b*b, which needs no integration and cannot drift.
 *
 * Angles, heights and widths of the normal beat, and their scaling with rate, are those of the authors' published
 * program (ECGSYN, PhysioNet), but for the QRS: there it lasts some 0.12 s at 60 a minute, as in a block of a bundle branch, so
 * it is drawn narrower here. The other shapes are drawn to be told apart at a glance: common practice, no source.
 */
import type { Beats } from './beats.ts';
import { smoothNoise, unitAt } from './seeded.ts';
import type { Beat, BeatKind } from './types.ts';

const STREAM_VF = 21;
const STREAM_WANDER = 29;
const RAD = Math.PI / 180;
/** How long a change to or from fibrillation takes to show, ms. */
const FADE_MS = 400;
/** A pause is not a stretched beat: waves take their width from at most this many periods. */
const STRETCH = 1.3;

interface AngleWave {
  readonly deg: number;
  readonly a: number;
  readonly b: number;
  /** Power of h = sqrt(HR/60) that scales the angle. */
  readonly power: 0 | 0.5 | 1;
}

interface TimeWave {
  readonly ms: number;
  readonly mV: number;
  readonly sdMs: number;
}

/**
 * How much narrower than ECGSYN's the QRS is drawn, so that it stays within what is normal by age: under 110 ms above 16 years,
 * 100 from 4 to 16, 90 below (Surawicz B et al. J Am Coll Cardiol 2009;53:976-81, numbers seen in a summary).
 */
const QRS_FRACTION = 0.65;

/** A wave of the QRS: narrower, nearer to R, as high as before (its height is a*b*b). */
const qrs = (deg: number, a: number, b: number, power: 0 | 1): AngleWave => ({
  deg: deg * QRS_FRACTION,
  a: a / (QRS_FRACTION * QRS_FRACTION),
  b: b * QRS_FRACTION,
  power,
});

/** ECGSYN defaults, P Q R S T. */
const NORMAL: readonly AngleWave[] = [
  { deg: -70, a: 1.2, b: 0.25, power: 0.5 },
  qrs(-15, -5, 0.1, 1),
  qrs(0, 30, 0.1, 0),
  qrs(15, -7.5, 0.1, 1),
  { deg: 100, a: 0.75, b: 0.4, power: 0.5 },
];
/** R of the normal beat is 1 mV. */
const SCALE = 1 / (30 * 0.1 * 0.1);

const ANGLE_SHAPES: Readonly<Partial<Record<BeatKind, readonly AngleWave[]>>> = {
  sinus: NORMAL,
  // No P wave to be seen, and a smaller T.
  narrow: [NORMAL[1]!, NORMAL[2]!, NORMAL[3]!, { ...NORMAL[4]!, a: 0.5 }],
  // Low, broad and without P: an organised rhythm of a failing heart.
  pulseless: [
    { deg: -22, a: -1, b: 0.17, power: 1 },
    { deg: 0, a: 6, b: 0.17, power: 0 },
    { deg: 26, a: -2.2, b: 0.17, power: 1 },
    { deg: 110, a: 0.45, b: 0.45, power: 0.5 },
  ],
};

/** Broad complexes keep their width in time whatever the rate; T points the other way. */
const WIDE: readonly TimeWave[] = [
  { ms: -55, mV: -0.18, sdMs: 20 },
  { ms: 0, mV: 1.15, sdMs: 34 },
  { ms: 80, mV: -0.4, sdMs: 30 },
];
const TIME_SHAPES: Readonly<Partial<Record<BeatKind, readonly TimeWave[]>>> = {
  wide: [...WIDE, { ms: 170, mV: -0.3, sdMs: 45 }],
  ectopic: [...WIDE, { ms: 260, mV: -0.42, sdMs: 60 }],
};

/** One beat's share of the ECG, mV, at a time from its R wave; `spanMs` is the interval its waves are scaled to. */
function beatMillivolts(kind: BeatKind, fromRMs: number, spanMs: number): number {
  const timed = TIME_SHAPES[kind];
  let sum = 0;
  if (timed) {
    for (const wave of timed) {
      const d = (fromRMs - wave.ms) / wave.sdMs;
      if (d > -5 && d < 5) sum += wave.mV * Math.exp((-d * d) / 2);
    }
    return sum;
  }
  const h = Math.sqrt(1000 / spanMs);
  const angle = (2 * Math.PI * fromRMs) / spanMs;
  for (const wave of ANGLE_SHAPES[kind] ?? NORMAL) {
    const centre = wave.deg * RAD * (wave.power === 0 ? 1 : wave.power === 1 ? h : Math.sqrt(h));
    const d = (angle - centre) / (wave.b * h);
    if (d > -5 && d < 5) sum += SCALE * wave.a * wave.b * wave.b * Math.exp((-d * d) / 2);
  }
  return sum;
}

/**
 * Fibrillation: sines whose sizes and phases drift, about the dominant frequency and size seen in people soon after collapse:
 * 4.56 (SD 0.99) Hz, 1.33 (SD 0.44) mV (Strohmenger HU et al. Chest 1997;111:584-9, abstract seen). The mixture: chosen here.
 */
function fibrillation(seed: number, atMs: number): number {
  let sum = 0;
  for (let k = 0; k < 4; k += 1) {
    const hz = 3 + 0.85 * k + 0.6 * unitAt(seed, STREAM_VF, k);
    const size = 0.16 * (1.1 + smoothNoise(seed, STREAM_VF + 1 + k, atMs, 900 + 170 * k));
    const drift = 2.4 * smoothNoise(seed, STREAM_VF + 10 + k, atMs, 1300);
    sum += size * Math.sin((2 * Math.PI * hz * atMs) / 1000 + drift);
  }
  return sum;
}

/** Slow wander and a little noise, mV: what a lead shows with no heartbeat in it. */
function wander(seed: number, atMs: number): number {
  return 0.035 * smoothNoise(seed, STREAM_WANDER, atMs, 1700) + 0.008 * smoothNoise(seed, STREAM_WANDER + 1, atMs, 9);
}

function organised(atMs: number, before: Beat | null, after: Beat | null): number {
  const gap = before && after ? after.atMs - before.atMs : Infinity;
  let sum = 0;
  if (before) sum += beatMillivolts(before.kind, atMs - before.atMs, Math.min(gap, STRETCH * before.periodMs));
  if (after) sum += beatMillivolts(after.kind, atMs - after.atMs, Math.min(gap, STRETCH * after.periodMs));
  return sum;
}

/** ECG at a run-clock time, mV (R of a normal beat is about 1). */
export function ecgAt(beats: Beats, seed: number, atMs: number): number {
  const { before, after } = beats.around(atMs);
  let fibrillating = 0;
  if (beats.rhythmAt(atMs) === 'vf') {
    fibrillating = Math.min(1, Math.max(0, (atMs - (beats.rhythmSinceMs(atMs) ?? atMs)) / FADE_MS));
  }
  const beating = organised(atMs, before, after);
  return beating + (fibrillating > 0 ? fibrillating * fibrillation(seed, atMs) : 0) + wander(seed, atMs);
}
