import { createTraces, type TraceDrive, type Traces } from '../src/index.ts';

/** A quiet, well patient with every device on. Invented numbers. */
export const WELL: TraceDrive = {
  rhythm: 'sinus',
  ecgRatePerMin: 90,
  pulsed: true,
  plethFraction: 1,
  breathRatePerMin: 18,
  breathDepthFraction: 1,
  bronchospasmFraction: 0,
  etco2MmHg: 38,
};

/** Traces fed four times a second, as a screen is. */
export function fed(
  drive: Partial<TraceDrive> | ((atMs: number) => Partial<TraceDrive>),
  forMs: number,
  { seed = 7, fromMs = 0, stepMs = 250, ageYears = 7 } = {},
): Traces {
  const traces = createTraces(seed, ageYears);
  for (let t = fromMs; t <= fromMs + forMs; t += stepMs) {
    traces.push(t, { ...WELL, ...(typeof drive === 'function' ? drive(t) : drive) });
  }
  return traces;
}

/** Samples of a signal, evenly spaced. */
export function sampled(signal: (atMs: number) => number, fromMs: number, toMs: number, stepMs: number): number[] {
  return Array.from({ length: Math.floor((toMs - fromMs) / stepMs) }, (_, i) => signal(fromMs + i * stepMs));
}

export const mean = (xs: readonly number[]): number => xs.reduce((a, b) => a + b, 0) / xs.length;
export const deviation = (xs: readonly number[]): number => {
  const m = mean(xs);
  return Math.sqrt(mean(xs.map((x) => (x - m) ** 2)));
};

/**
 * An R-peak detector that knows nothing of how the ECG was made: slope squared, averaged over a moving window,
 * compared with an adaptive threshold, with a refractory time (after the steps of Pan and Tompkins, IEEE Trans Biomed
 * Eng 1985;32:230-6). Returns ms of each peak.
 */
export function detectPeaks(samples: readonly number[], stepMs: number, refractoryMs = 180): number[] {
  // Over about 20 ms, as theirs was (five samples at 200 a second).
  const reach = Math.max(1, Math.round(10 / stepMs));
  const slope = samples.map((_, i) => ((samples[i + reach] ?? NaN) - (samples[i - reach] ?? NaN)) ** 2 || 0);
  const width = Math.round(80 / stepMs);
  const energy: number[] = [];
  let sum = 0;
  for (let i = 0; i < slope.length; i += 1) {
    sum += slope[i]! - (i >= width ? slope[i - width]! : 0);
    energy.push(sum / width);
  }
  const peaks: number[] = [];
  let level = Math.max(...energy.slice(0, Math.round(2000 / stepMs)));
  let i = 0;
  while (i < energy.length) {
    if (energy[i]! > 0.3 * level && energy[i]! > 5e-4) {
      let end = i;
      let best = energy[i]!;
      while (end < energy.length && energy[end]! > 0.15 * level) {
        best = Math.max(best, energy[end]!);
        end += 1;
      }
      level = 0.8 * level + 0.2 * best;
      // The peak is the largest departure from the local middle in the window that raised the energy.
      const from = Math.max(0, i - width);
      const window = samples.slice(from, end);
      const middle = mean(window);
      let at = 0;
      for (let k = 0; k < window.length; k += 1)
        if (Math.abs(window[k]! - middle) > Math.abs(window[at]! - middle)) at = k;
      const ms = (from + at) * stepMs;
      if (peaks.length === 0 || ms - peaks.at(-1)! > refractoryMs) peaks.push(ms);
      i = Math.max(end, i + 1);
    } else i += 1;
  }
  return peaks;
}
