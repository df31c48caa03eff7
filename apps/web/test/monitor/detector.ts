/**
 * An R-peak detector that knows nothing of how an ECG was made: slope squared, averaged over a moving window, compared with
 * an adaptive threshold, with a refractory time (after the steps of Pan and Tompkins, IEEE Trans Biomed Eng 1985;32:230-6).
 */

/** Ms of each peak from the first sample. */
export function detectPeaks(samples: readonly number[], stepMs: number, refractoryMs = 180): number[] {
  const reach = Math.max(1, Math.round(8 / stepMs));
  const width = Math.round(80 / stepMs);
  const energy: number[] = [];
  let sum = 0;
  const slope = samples.map((_, i) =>
    i < reach || i >= samples.length - reach ? 0 : (samples[i + reach]! - samples[i - reach]!) ** 2,
  );
  for (let i = 0; i < slope.length; i += 1) {
    sum += slope[i]! - (i >= width ? slope[i - width]! : 0);
    energy.push(sum / width);
  }
  const peaks: number[] = [];
  let level = Math.max(...energy.slice(0, Math.round(2000 / stepMs)));
  for (let i = 0; i < energy.length; i += 1) {
    if (energy[i]! <= 0.3 * level) continue;
    let end = i;
    let best = 0;
    while (end < energy.length && energy[end]! > 0.15 * level) best = Math.max(best, energy[end++]!);
    level = 0.8 * level + 0.2 * best;
    let at = Math.max(0, i - width);
    for (let k = at; k < end; k += 1) if (samples[k]! > samples[at]!) at = k;
    if (peaks.length === 0 || at * stepMs - peaks.at(-1)! > refractoryMs) peaks.push(at * stepMs);
    i = end;
  }
  return peaks;
}
