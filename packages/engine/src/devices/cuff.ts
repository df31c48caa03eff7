/**
 * Blood pressure cuff: nothing is known until a cycle has run. A cycle takes about 25 s, longer when the pressure is low;
 * the value is the mean over the cycle and then stands, getting stale, with the time it was taken. In deep shock it
 * fails (from memory: below a mean of about 30 to 35 mmHg in adults; scaled to the age's low systolic limit in children).
 * Movement lengthens a cycle, and an arm that moves through most of one may leave no reading (common practice, no source).
 */
import type { RunCore } from '../run/core.ts';
import { DEVICE, I, N } from '../run/layout.ts';
import { nextNoise, nextUniform } from '../run/noise.ts';
import { STEP_MS } from '../types.ts';
import { isAttached, isFaulty, isOverridden } from './common.ts';

const CYCLE_MS = 25_000;
const CYCLE_LONGEST_MS = 35_000;
const FAILS_BELOW_MEAN_MMHG = 33;
const ADULT_LOW_SYSTOLIC_MMHG = 90;
const NOISE_MMHG = 2;
/** Share by which full movement stretches the cycle while it lasts, and the most it can add. */
const MOVING_STRETCH = 0.5;
const MOVING_MOST_MS = 15_000;
/** Chance of no reading at full movement, from half movement on. */
const MOVING_FAILS_FROM = 0.5;
const MOVING_FAILS = 0.35;

export const CUFF_FAILED = 'could not read: pressure too low or no pulse';
export const CUFF_MOVED = 'could not read: the arm moved';
export const CUFF_FAULTY = 'the cuff does not work: check it and put it on again';
/** Why the last cycle gave nothing: values of I.cuffFailed. */
const FAILED = { no: 0, pressure: 1, movement: 2 } as const;

/** Why the last cycle gave nothing, in words; null when it gave a reading. */
export function cuffFailure(core: RunCore): string | null {
  const failed = core.ints[I.cuffFailed];
  return failed === FAILED.no ? null : failed === FAILED.movement ? CUFF_MOVED : CUFF_FAILED;
}

export function resetCuff(core: RunCore): void {
  core.ints[I.cuffStartedAt] = -1;
  core.ints[I.cuffEndsAt] = -1;
  core.ints[I.cuffEveryMs] = 0;
  core.ints[I.cuffNextAt] = -1;
  core.ints[I.cuffTakenAt] = -1;
  core.ints[I.cuffFailed] = 0;
  core.ints[I.cuffHasReading] = 0;
  core.ints[I.cuffSamples] = 0;
  core.nums.fill(0, N.cuffSystolic, N.cuffSumMean + 1);
  core.nums[N.cuffMovement] = 0;
  core.nums[N.cuffExtraMs] = 0;
}

export function cuffInflating(core: RunCore): boolean {
  return core.ints[I.cuffStartedAt]! >= 0;
}

/** Starts a cycle; pressing again during one does nothing. Without a cuff on, the failure is recorded in words. */
export function pressCuff(core: RunCore): void {
  if (!isAttached(core, DEVICE.cuff)) {
    core.sink?.({ kind: 'reading', atMs: core.clockMs, device: 'bp-cuff', value: null, failed: 'the cuff is not on' });
    return;
  }
  if (isFaulty(core, DEVICE.cuff)) {
    core.sink?.({ kind: 'reading', atMs: core.clockMs, device: 'bp-cuff', value: null, failed: CUFF_FAULTY });
    return;
  }
  if (cuffInflating(core)) return;
  const { systolicMmHg } = core.vitals;
  const low = core.plan.norms.systolicLowMmHg;
  // Up to 10 s longer as the systolic falls from the age's low limit to half of it.
  const strain = systolicMmHg >= low ? 0 : Math.min(1, (low - systolicMmHg) / (low * 0.5));
  const cycle = Math.round((CYCLE_MS + (CYCLE_LONGEST_MS - CYCLE_MS) * strain) / 100) * 100;
  core.ints[I.cuffStartedAt] = core.clockMs;
  core.ints[I.cuffEndsAt] = core.clockMs + cycle;
  core.ints[I.cuffSamples] = 0;
  core.nums[N.cuffSumSystolic] = 0;
  core.nums[N.cuffSumDiastolic] = 0;
  core.nums[N.cuffSumMean] = 0;
  core.nums[N.cuffMovement] = 0;
  core.nums[N.cuffExtraMs] = 0;
  if (core.ints[I.cuffEveryMs]! > 0) core.ints[I.cuffNextAt] = core.clockMs + core.ints[I.cuffEveryMs]!;
}

/** Sets the automatic interval (null = by hand). The first cycle starts at once. Shorter than a cycle is lengthened. */
export function setCuffInterval(core: RunCore, everyMs: number | null): void {
  const every = everyMs === null || !(everyMs > 0) ? 0 : Math.max(60_000, Math.round(everyMs / 100) * 100);
  core.ints[I.cuffEveryMs] = every;
  core.ints[I.cuffNextAt] = -1;
  if (every === 0) return;
  core.ints[I.cuffNextAt] = core.clockMs + every;
  if (isAttached(core, DEVICE.cuff)) pressCuff(core);
}

export function stepCuff(core: RunCore): void {
  const { ints, nums, vitals } = core;
  const clock = ints[I.clockMs]!;
  if (!cuffInflating(core)) {
    if (ints[I.cuffNextAt]! >= 0 && clock >= ints[I.cuffNextAt]!) pressCuff(core);
    return;
  }
  nums[N.cuffSumSystolic]! += vitals.systolicMmHg;
  nums[N.cuffSumDiastolic]! += vitals.diastolicMmHg;
  nums[N.cuffSumMean]! += vitals.meanMmHg;
  ints[I.cuffSamples]! += 1;
  const movement = nums[N.movement]!;
  nums[N.cuffMovement]! += movement;
  nums[N.cuffExtraMs] = Math.min(MOVING_MOST_MS, nums[N.cuffExtraMs]! + STEP_MS * MOVING_STRETCH * movement);
  if (clock < ints[I.cuffEndsAt]! + nums[N.cuffExtraMs]!) return;
  finishCycle(core);
}

function finishCycle(core: RunCore): void {
  const { ints, nums, vitals } = core;
  const count = Math.max(1, ints[I.cuffSamples]!);
  const overridden =
    isOverridden(core, 'systolicMmHg') || isOverridden(core, 'diastolicMmHg') || isOverridden(core, 'meanMmHg');
  let systolic = overridden ? vitals.systolicMmHg : nums[N.cuffSumSystolic]! / count;
  let diastolic = overridden ? vitals.diastolicMmHg : nums[N.cuffSumDiastolic]! / count;
  let mean = overridden ? vitals.meanMmHg : nums[N.cuffSumMean]! / count;
  ints[I.cuffStartedAt] = -1;
  ints[I.cuffEndsAt] = -1;
  ints[I.cuffTakenAt] = core.clockMs;
  const limit = (FAILS_BELOW_MEAN_MMHG * core.plan.norms.systolicLowMmHg) / ADULT_LOW_SYSTOLIC_MMHG;
  // The noise is drawn whether or not the cycle fails, so a failure never shifts later noise.
  const noise = nextNoise(ints, I.noise + DEVICE.cuff) * NOISE_MMHG;
  const wobble = nextNoise(ints, I.noise + DEVICE.cuff) * NOISE_MMHG * 0.5;
  const luck = nextUniform(ints, I.noise + DEVICE.cuff);
  const tooLow = mean < limit || vitals.arrested >= 0.5;
  const movement = nums[N.cuffMovement]! / count;
  const moved = movement >= MOVING_FAILS_FROM && luck < movement * MOVING_FAILS;
  const trueValue = Math.round(systolic * 10) / 10;
  if (!overridden && (tooLow || moved)) {
    ints[I.cuffFailed] = tooLow ? FAILED.pressure : FAILED.movement;
    ints[I.cuffHasReading] = 1;
    const failed = cuffFailure(core)!;
    core.sink?.({ kind: 'reading', atMs: core.clockMs, device: 'bp-cuff', value: null, failed, trueValue });
    return;
  }
  if (!overridden) {
    systolic += noise;
    diastolic += noise * 0.6 + wobble;
    mean += noise * 0.75;
  }
  systolic = Math.max(0, Math.round(systolic));
  diastolic = Math.max(0, Math.min(Math.round(diastolic), systolic));
  mean = Math.max(diastolic, Math.min(Math.round(mean), systolic));
  nums[N.cuffSystolic] = systolic;
  nums[N.cuffDiastolic] = diastolic;
  nums[N.cuffMean] = mean;
  ints[I.cuffFailed] = FAILED.no;
  ints[I.cuffHasReading] = 1;
  core.sink?.({
    kind: 'reading',
    atMs: core.clockMs,
    device: 'bp-cuff',
    value: systolic,
    systolicMmHg: systolic,
    diastolicMmHg: diastolic,
    meanMmHg: mean,
    trueValue,
  });
}
