/**
 * Capnography: gas takes about two seconds down the sampling line (from memory: 1 to 3 s) and the number needs breaths.
 * Without a breath for a while it reads zero.
 */
import type { RunCore } from '../run/core.ts';
import { DEVICE, I, N } from '../run/layout.ts';
import { nextNoise } from '../run/noise.ts';
import { STEP_MS } from '../types.ts';
import { isOverridden } from './common.ts';

const ACQUIRE_MS = 4000;
/** Line delay as a first-order lag, then smoothing over a few breaths, s. */
const LINE_S = 2;
const AVERAGING_S = 3;
const RATE_AVERAGING_S = 6;
/** No breath for this long reads zero, ms. Common practice, no source. */
const APNOEA_MS = 15_000;
const NOISE_MMHG = 0.4;
const STEP_S = STEP_MS / 1000;

export function resetCapnography(core: RunCore): void {
  core.nums[N.capnographyLine] = 0;
  core.nums[N.capnographyEtco2] = 0;
  core.nums[N.capnographyRate] = core.vitals.respiratoryRatePerMin;
  core.nums[N.capnographyNoise] = 0;
  core.ints[I.capnographyApnoeaSince] = -1;
}

export function stepCapnography(core: RunCore): void {
  const { nums, ints, vitals } = core;
  const clock = ints[I.clockMs]!;
  if (clock === ints[I.attachedAt + DEVICE.capnography]! + STEP_MS) {
    nums[N.capnographyLine] = vitals.etco2MmHg;
    nums[N.capnographyEtco2] = vitals.etco2MmHg;
  }
  const breathing = vitals.respiratoryRatePerMin >= 1;
  if (breathing) ints[I.capnographyApnoeaSince] = -1;
  else if (ints[I.capnographyApnoeaSince]! < 0) ints[I.capnographyApnoeaSince] = clock;
  if (isOverridden(core, 'etco2MmHg')) {
    nums[N.capnographyLine] = vitals.etco2MmHg;
    nums[N.capnographyEtco2] = vitals.etco2MmHg;
  } else {
    nums[N.capnographyLine]! += (vitals.etco2MmHg - nums[N.capnographyLine]!) * (STEP_S / LINE_S);
    nums[N.capnographyEtco2]! += (nums[N.capnographyLine]! - nums[N.capnographyEtco2]!) * (STEP_S / AVERAGING_S);
  }
  if (isOverridden(core, 'respiratoryRatePerMin')) nums[N.capnographyRate] = vitals.respiratoryRatePerMin;
  else {
    nums[N.capnographyRate]! += (vitals.respiratoryRatePerMin - nums[N.capnographyRate]!) * (STEP_S / RATE_AVERAGING_S);
  }
  if (clock % 1000 === 0) {
    nums[N.capnographyNoise] =
      nums[N.capnographyNoise]! * 0.7 + nextNoise(ints, I.noise + DEVICE.capnography) * 0.7 * NOISE_MMHG;
  }
}

function ready(core: RunCore): boolean {
  return core.clockMs - core.ints[I.attachedAt + DEVICE.capnography]! >= ACQUIRE_MS;
}

function apnoeic(core: RunCore): boolean {
  const since = core.ints[I.capnographyApnoeaSince]!;
  return since >= 0 && core.clockMs - since >= APNOEA_MS;
}

export function shownEtco2(core: RunCore): number | null {
  if (!ready(core)) return null;
  if (isOverridden(core, 'etco2MmHg')) return Math.round(core.vitals.etco2MmHg);
  if (apnoeic(core)) return 0;
  return Math.max(0, Math.round(core.nums[N.capnographyEtco2]! + core.nums[N.capnographyNoise]!));
}

export function shownCapnographyRate(core: RunCore): number | null {
  if (!ready(core)) return null;
  if (isOverridden(core, 'respiratoryRatePerMin')) return Math.round(core.vitals.respiratoryRatePerMin);
  return apnoeic(core) ? 0 : Math.max(0, Math.round(core.nums[N.capnographyRate]!));
}
