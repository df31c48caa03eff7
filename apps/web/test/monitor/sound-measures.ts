/** Measures of a sound that know nothing of how it was made: level, onsets, pitch by crossings, spectrum by Fourier sums. */

/** Root mean square over windows, one value a window. */
export function levels(samples: ArrayLike<number>, rate: number, windowMs: number): number[] {
  const size = Math.round((rate * windowMs) / 1000);
  const out: number[] = [];
  for (let i = 0; i + size <= samples.length; i += size) {
    let sum = 0;
    for (let k = i; k < i + size; k += 1) sum += samples[k]! * samples[k]!;
    out.push(Math.sqrt(sum / size));
  }
  return out;
}

export interface Burst {
  readonly startMs: number;
  readonly endMs: number;
}

/** Stretches louder than `share` of the loudest, with breaks shorter than `joinMs` closed. */
export function bursts(
  samples: ArrayLike<number>,
  rate: number,
  { share = 0.3, windowMs = 2, joinMs = 12 } = {},
): Burst[] {
  const level = levels(samples, rate, windowMs);
  const edge = share * Math.max(...level);
  const out: { startMs: number; endMs: number }[] = [];
  level.forEach((x, i) => {
    if (x < edge || edge === 0) return;
    const at = i * windowMs;
    const last = out.at(-1);
    if (last && at - last.endMs <= joinMs) last.endMs = at + windowMs;
    else out.push({ startMs: at, endMs: at + windowMs });
  });
  return out;
}

/** Pitch from rising crossings of zero between two moments, Hz. */
export function crossingHz(samples: ArrayLike<number>, rate: number, fromMs: number, toMs: number): number {
  const crossings: number[] = [];
  const from = Math.round((fromMs * rate) / 1000);
  const to = Math.round((toMs * rate) / 1000);
  for (let i = from + 1; i < to; i += 1) {
    const [a, b] = [samples[i - 1]!, samples[i]!];
    if (a < 0 && b >= 0) crossings.push(i - 1 + a / (a - b));
  }
  return ((crossings.length - 1) * rate) / (crossings.at(-1)! - crossings[0]!);
}

/** Size of one frequency in a stretch, with a Hann window. */
export function sizeAt(samples: ArrayLike<number>, rate: number, fromMs: number, toMs: number, hz: number): number {
  const from = Math.round((fromMs * rate) / 1000);
  const to = Math.round((toMs * rate) / 1000);
  let re = 0;
  let im = 0;
  for (let i = from; i < to; i += 1) {
    const hann = 0.5 - 0.5 * Math.cos((2 * Math.PI * (i - from)) / (to - from));
    const phase = (2 * Math.PI * hz * i) / rate;
    re += hann * samples[i]! * Math.cos(phase);
    im += hann * samples[i]! * Math.sin(phase);
  }
  return Math.hypot(re, im);
}

/** The loudest frequency of a band, Hz, to a tenth of a Hertz a step of one and then finer. */
export function peakHz(
  samples: ArrayLike<number>,
  rate: number,
  fromMs: number,
  toMs: number,
  lowHz: number,
  highHz: number,
): number {
  let best = lowHz;
  let most = -1;
  const look = (from: number, to: number, step: number): void => {
    for (let hz = from; hz <= to; hz += step) {
      const size = sizeAt(samples, rate, fromMs, toMs, hz);
      if (size > most) [most, best] = [size, hz];
    }
  };
  look(lowHz, highHz, 4);
  look(best - 4, best + 4, 0.25);
  return best;
}
