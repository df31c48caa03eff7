/** ECG leads: heart rate from the electrical beats (pulse or no pulse) and breathing rate from the chest's movement. */
import type { RunCore } from '../run/core.ts';
import { DEVICE, I, N } from '../run/layout.ts';
import { nextNoise } from '../run/noise.ts';
import { STEP_MS } from '../types.ts';
import { isOverridden } from './common.ts';

/** Beats are counted for this long before a first number, ms. Common practice, no source. */
const ACQUIRE_MS = 3000;
const RATE_AVERAGING_S = 4;
const BREATH_AVERAGING_S = 8;
const NOISE_PER_MIN = 0.6;
const STEP_S = STEP_MS / 1000;

export function resetEcg(core: RunCore): void {
  core.nums[N.ecgRate] = core.vitals.heartRatePerMin;
  core.nums[N.impedanceRate] = core.vitals.respiratoryRatePerMin;
  core.nums[N.ecgNoise] = 0;
}

export function stepEcg(core: RunCore): void {
  const { nums, vitals } = core;
  if (isOverridden(core, 'heartRatePerMin')) nums[N.ecgRate] = vitals.heartRatePerMin;
  else nums[N.ecgRate]! += (vitals.heartRatePerMin - nums[N.ecgRate]!) * (STEP_S / RATE_AVERAGING_S);
  if (isOverridden(core, 'respiratoryRatePerMin')) nums[N.impedanceRate] = vitals.respiratoryRatePerMin;
  else {
    nums[N.impedanceRate]! += (vitals.respiratoryRatePerMin - nums[N.impedanceRate]!) * (STEP_S / BREATH_AVERAGING_S);
  }
  if (core.ints[I.clockMs]! % 1000 === 0) {
    nums[N.ecgNoise] = nums[N.ecgNoise]! * 0.7 + nextNoise(core.ints, I.noise + DEVICE.ecg) * 0.7 * NOISE_PER_MIN;
  }
}

export function ecgReady(core: RunCore): boolean {
  return core.clockMs - core.ints[I.attachedAt + DEVICE.ecg]! >= ACQUIRE_MS;
}

export function shownHeartRate(core: RunCore): number | null {
  if (!ecgReady(core)) return null;
  if (isOverridden(core, 'heartRatePerMin')) return Math.round(core.vitals.heartRatePerMin);
  const rate = core.nums[N.ecgRate]!;
  // No beats, no noise: a flat line must read 0.
  return rate < 5 ? 0 : Math.max(0, Math.round(rate + core.nums[N.ecgNoise]!));
}

export function shownImpedanceRate(core: RunCore): number | null {
  if (!ecgReady(core)) return null;
  if (isOverridden(core, 'respiratoryRatePerMin')) return Math.round(core.vitals.respiratoryRatePerMin);
  return Math.max(0, Math.round(core.nums[N.impedanceRate]!));
}
