/**
 * Finger oximeter. Arterial blood takes seconds to reach the finger, then the device averages over some seconds. Warm:
 * about 15 s (from memory; that a finger lags an ear: Young D et al. Anesth Analg 1992;74:189-95). Cold: up to 30 s more,
 * a teaching value between what was found in vasoconstriction (finger 15 s behind the ear, Lindholm P et al. Aviat Space
 * Environ Med 2007;78:784-8; mild hypothermia 85 s slower, MacLeod DB et al. Anaesthesia 2005;60:65-71). Poor perfusion
 * first weakens, then loses the signal; movement unsettles the number, freezes it in a bout and loses it in a long one or
 * a weak one. Each says so in words.
 */
import type { RunCore } from '../run/core.ts';
import { DEVICE, FINGER_RING, I, N } from '../run/layout.ts';
import { nextNoise } from '../run/noise.ts';
import { STEP_MS } from '../types.ts';
import { isOverridden } from './common.ts';
import { moving } from './movement.ts';

/** Time from attaching to the first number, ms. Common practice, no source. */
const ACQUIRE_MS = 5000;
/** Below this perfusion the signal is lost; it returns above the second. Common practice, no source. */
const LOST_BELOW = 0.12;
const FOUND_ABOVE = 0.18;
const WEAK_BELOW = 0.3;
/** How long a bad signal is held before it is given up, ms. */
const GIVE_UP_MS = 4000;
/** Through movement the last number is held for longer, unless the pulse is weak as well. Common practice, no source. */
const GIVE_UP_MOVING_MS = 6000;
const GIVE_UP_MOVING_WEAK_MS = 2500;
/** Averaging time constants, s. */
const SPO2_AVERAGING_S = 5;
const PULSE_AVERAGING_S = 4;
const NOISE_PERCENT = 0.35;
/** Noise grows so many times at full movement. Common practice, no source. */
const NOISE_MOVING = 3;
/** Why the signal is lost: values of I.oximeterLost. */
const LOST = { no: 0, perfusion: 1, movement: 2 } as const;

const STEP_S = STEP_MS / 1000;

/** Fills the way to the finger with the present saturation. */
export function startFinger(core: RunCore): void {
  for (let i = 0; i < FINGER_RING; i++) core.nums[N.fingerRing + i] = core.vitals.spo2Percent;
  core.ints[I.oximeterHead] = 0;
}

/** Once a second the present arterial saturation sets off for the finger. */
export function stepFinger(core: RunCore): void {
  if (isOverridden(core, 'spo2Percent')) {
    // An override is shown at once, and the way to the finger is kept full of it so that a handback has no jump.
    for (let i = 0; i < FINGER_RING; i++) core.nums[N.fingerRing + i] = core.vitals.spo2Percent;
    return;
  }
  if (core.ints[I.clockMs]! % 1000 !== 0) return;
  const head = (core.ints[I.oximeterHead]! + 1) % FINGER_RING;
  core.ints[I.oximeterHead] = head;
  core.nums[N.fingerRing + head] = core.vitals.spo2Percent;
}

/** Saturation at the finger now: 15 s old when warm, up to 45 s when cold. */
function atFinger(core: RunCore): number {
  const perfusion = core.vitals.perfusionFraction;
  const cold = perfusion >= 0.6 ? 0 : perfusion <= 0.1 ? 1 : (0.6 - perfusion) / 0.5;
  const seconds = 15 + 30 * cold + (core.ints[I.clockMs]! % 1000) / 1000;
  const whole = Math.floor(seconds);
  const share = seconds - whole;
  const head = core.ints[I.oximeterHead]!;
  const newer = core.nums[N.fingerRing + ((head - whole + FINGER_RING * 2) % FINGER_RING)]!;
  const older = core.nums[N.fingerRing + ((head - whole - 1 + FINGER_RING * 2) % FINGER_RING)]!;
  return older * share + newer * (1 - share);
}

export function resetOximeter(core: RunCore): void {
  core.nums[N.oximeterSpo2] = 0;
  core.nums[N.oximeterPulse] = 0;
  core.nums[N.oximeterNoise] = 0;
  core.nums[N.oximeterPleth] = 0;
  core.ints[I.oximeterLost] = 0;
  core.ints[I.oximeterAcquired] = 0;
  core.ints[I.oximeterBadSince] = -1;
}

function reading(core: RunCore, value: number | null, failed?: string): void {
  core.sink?.({
    kind: 'reading',
    atMs: core.clockMs,
    device: 'oximeter',
    value,
    ...(failed === undefined ? {} : { failed }),
  });
}

/** Is there enough pulse at the finger? With hysteresis. */
function signalGood(core: RunCore): boolean {
  const v = core.vitals;
  const needed = core.ints[I.oximeterLost] === LOST.perfusion ? FOUND_ABOVE : LOST_BELOW;
  return v.pulseRatePerMin > 5 && v.arrested < 0.5 && v.perfusionFraction >= needed;
}

export function stepOximeter(core: RunCore): void {
  const { ints, nums, vitals } = core;
  const clock = ints[I.clockMs]!;
  const perfused = signalGood(core);
  const good = perfused && !moving(core);
  nums[N.oximeterPleth]! += ((good ? vitals.perfusionFraction : 0) - nums[N.oximeterPleth]!) * 0.1;
  if (clock % 1000 === 0) {
    nums[N.oximeterNoise] =
      nums[N.oximeterNoise]! * 0.8 +
      nextNoise(ints, I.noise + DEVICE.oximeter) * 0.6 * NOISE_PERCENT * (1 + NOISE_MOVING * nums[N.movement]!);
  }
  if (!good) {
    if (ints[I.oximeterBadSince]! < 0) ints[I.oximeterBadSince] = clock;
    const giveUp = !perfused
      ? GIVE_UP_MS
      : vitals.perfusionFraction < WEAK_BELOW
        ? GIVE_UP_MOVING_WEAK_MS
        : GIVE_UP_MOVING_MS;
    if (ints[I.oximeterLost] === LOST.no && clock - ints[I.oximeterBadSince]! >= giveUp) {
      ints[I.oximeterLost] = perfused ? LOST.movement : LOST.perfusion;
      const why = perfused ? 'movement, signal lost' : 'low perfusion, signal lost';
      if (ints[I.oximeterAcquired] !== 0) reading(core, null, why);
      ints[I.oximeterAcquired] = 0;
    }
    return;
  }
  ints[I.oximeterBadSince] = -1;
  if (ints[I.oximeterLost] !== LOST.no) {
    ints[I.oximeterLost] = LOST.no;
    ints[I.attachedAt + DEVICE.oximeter] = clock;
  }
  if (ints[I.oximeterAcquired] === 0) {
    if (clock - ints[I.attachedAt + DEVICE.oximeter]! < ACQUIRE_MS) return;
    ints[I.oximeterAcquired] = 1;
    nums[N.oximeterSpo2] = atFinger(core);
    nums[N.oximeterPulse] = vitals.pulseRatePerMin;
    reading(core, shownSpo2(core));
    return;
  }
  if (isOverridden(core, 'spo2Percent')) nums[N.oximeterSpo2] = vitals.spo2Percent;
  else nums[N.oximeterSpo2]! += (atFinger(core) - nums[N.oximeterSpo2]!) * (STEP_S / SPO2_AVERAGING_S);
  if (isOverridden(core, 'pulseRatePerMin') || isOverridden(core, 'heartRatePerMin')) {
    nums[N.oximeterPulse] = vitals.pulseRatePerMin;
  } else nums[N.oximeterPulse]! += (vitals.pulseRatePerMin - nums[N.oximeterPulse]!) * (STEP_S / PULSE_AVERAGING_S);
}

/** Whole per cent shown, or null when there is no reading. */
export function shownSpo2(core: RunCore): number | null {
  if (core.ints[I.oximeterAcquired] === 0) return null;
  if (isOverridden(core, 'spo2Percent')) return Math.round(core.vitals.spo2Percent);
  const value = Math.round(core.nums[N.oximeterSpo2]! + core.nums[N.oximeterNoise]!);
  return value < 0 ? 0 : value > 100 ? 100 : value;
}

export function shownPulse(core: RunCore): number | null {
  if (core.ints[I.oximeterAcquired] === 0) return null;
  if (isOverridden(core, 'pulseRatePerMin') || isOverridden(core, 'heartRatePerMin')) {
    return Math.round(core.vitals.pulseRatePerMin);
  }
  return Math.max(0, Math.round(core.nums[N.oximeterPulse]! + core.nums[N.oximeterNoise]!));
}

/** A signal problem in words, or null. */
export function oximeterMessage(core: RunCore): string | null {
  if (core.ints[I.oximeterLost] === LOST.movement) return 'movement: no reading';
  if (core.ints[I.oximeterLost] !== LOST.no) return 'low perfusion: no reading';
  if (core.ints[I.oximeterBadSince]! >= 0) return signalGood(core) ? 'movement' : 'searching for a pulse';
  if (core.ints[I.oximeterAcquired] === 0) return 'measuring';
  return core.vitals.perfusionFraction < WEAK_BELOW ? 'low perfusion' : null;
}
