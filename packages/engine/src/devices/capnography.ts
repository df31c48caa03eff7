/**
 * Capnography: gas takes two seconds down the sampling line (from memory: 1 to 3 s; a rise time of 0.2 s is below two
 * steps and left out) and the number needs breaths. Without a breath for a while it reads zero.
 */
import type { RunCore } from '../run/core.ts';
import { DEVICE, I, LINE_RING, N } from '../run/layout.ts';
import { nextNoise } from '../run/noise.ts';
import { STEP_MS } from '../types.ts';
import { isOverridden } from './common.ts';

/** The way down the line, then a few breaths. */
const ACQUIRE_MS = LINE_RING * STEP_MS + 4000;
/** Smoothing over a few breaths, s. */
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
  core.ints[I.capnographyHead] = 0;
  fillLine(core);
}

function fillLine(core: RunCore): void {
  core.nums.fill(core.vitals.etco2MmHg, N.lineEtco2, N.lineEtco2 + LINE_RING);
  core.nums.fill(core.vitals.respiratoryRatePerMin, N.lineRate, N.lineRate + LINE_RING);
}

export function stepCapnography(core: RunCore): void {
  const { nums, ints, vitals } = core;
  const clock = ints[I.clockMs]!;
  const first = clock === ints[I.attachedAt + DEVICE.capnography]! + STEP_MS;
  // The oldest slot is what arrives now; what leaves the airway now takes its place.
  const head = ints[I.capnographyHead]!;
  const etco2 = nums[N.lineEtco2 + head]!;
  const rate = nums[N.lineRate + head]!;
  nums[N.lineEtco2 + head] = vitals.etco2MmHg;
  nums[N.lineRate + head] = vitals.respiratoryRatePerMin;
  ints[I.capnographyHead] = (head + 1) % LINE_RING;
  if (rate >= 1) ints[I.capnographyApnoeaSince] = -1;
  else if (ints[I.capnographyApnoeaSince]! < 0) ints[I.capnographyApnoeaSince] = clock;
  if (isOverridden(core, 'etco2MmHg')) {
    // Shown at once; the line is kept full of it so that a handback has no jump.
    nums.fill(vitals.etco2MmHg, N.lineEtco2, N.lineEtco2 + LINE_RING);
    nums[N.capnographyLine] = vitals.etco2MmHg;
    nums[N.capnographyEtco2] = vitals.etco2MmHg;
  } else {
    nums[N.capnographyLine] = etco2;
    if (first) nums[N.capnographyEtco2] = etco2;
    else nums[N.capnographyEtco2]! += (etco2 - nums[N.capnographyEtco2]!) * (STEP_S / AVERAGING_S);
  }
  if (isOverridden(core, 'respiratoryRatePerMin')) {
    nums.fill(vitals.respiratoryRatePerMin, N.lineRate, N.lineRate + LINE_RING);
    nums[N.capnographyRate] = vitals.respiratoryRatePerMin;
  } else nums[N.capnographyRate]! += (rate - nums[N.capnographyRate]!) * (STEP_S / RATE_AVERAGING_S);
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
