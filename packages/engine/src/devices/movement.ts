/**
 * The patient's movements as devices feel them. A frightened child pulls at the probe and bends the arm; compressions
 * shake everything. Movement comes in bouts, from a noise stream of its own, and never alters the patient.
 *
 * How often and how long is common practice, no source: enough to teach "look at the patient, then at the trace", rarely
 * enough that a number is there most of the time.
 */
import { isFitting, nextRandomState, randomOf } from '@breathline/patient';
import type { RunCore } from '../run/core.ts';
import { DEVICE, DEVICES, I, N } from '../run/layout.ts';
import { nextUniform, streamSeed } from '../run/noise.ts';
import { readSignIndex } from '../run/patient-port.ts';

/** Movement at each grade of agitation, none to severe. */
const BY_AGITATION = [0, 0, 0.25, 0.55, 0.85] as const;
/** Chance per second that a bout begins, at full movement. */
const BOUT_PER_S = 0.03;
const SHORTEST_BOUT_MS = 2000;
const LONGER_BY_MS = 6000;
/** Devices that movement disturbs. */
const DISTURBED = (1 << DEVICE.oximeter) | (1 << DEVICE.cuff);

export function startMovement(core: RunCore): void {
  core.ints[I.movementNoise] = streamSeed(core.plan.definition.seed, DEVICES.length);
  core.ints[I.movementUntil] = -1;
  core.nums[N.movement] = 0;
}

/** 0 (still) to 1: all of it under compressions and in a fit, a part of it when agitated. */
function movementNow(core: RunCore): number {
  const { arrested, pulseRatePerMin } = core.vitals;
  if (arrested >= 0.5) return pulseRatePerMin > 0 ? 1 : 0;
  if (isFitting(core.patient)) return 1;
  return BY_AGITATION[readSignIndex(core.plan.model, core.patient, 'agitation')]!;
}

/** Once a second. Two numbers are drawn whatever happens, so that movement never shifts its own stream. */
export function stepMovement(core: RunCore): void {
  const { ints, nums } = core;
  const clock = ints[I.clockMs]!;
  if (ints[I.movementUntil]! >= 0 && clock >= ints[I.movementUntil]!) ints[I.movementUntil] = -1;
  if (clock % 1000 !== 0 || (ints[I.attached]! & DISTURBED) === 0) return;
  const starts = nextUniform(ints, I.movementNoise);
  const lasts = nextUniform(ints, I.movementNoise);
  const movement = movementNow(core);
  nums[N.movement] = movement;
  if (ints[I.movementUntil]! >= 0 || movement <= 0 || starts >= movement * BOUT_PER_S) return;
  ints[I.movementUntil] = clock + SHORTEST_BOUT_MS + Math.floor(movement * lasts * (LONGER_BY_MS / 100)) * 100;
}

/** True during a bout, and throughout compressions or a fit. */
export function moving(core: RunCore): boolean {
  return core.ints[I.movementUntil]! >= 0 || core.nums[N.movement]! >= 1;
}

/** Bouts seen at the leads alone come in slots of this length, at most one a slot. */
const SLOT_MS = 8000;

/**
 * How much the traces are shaken now, 0 to 1. With a probe or cuff on it is the bout that disturbs them, so that all traces
 * shake together; with leads alone the bouts follow from the seed and the clock, and draw nothing.
 */
export function shaking(core: RunCore): number {
  const { ints } = core;
  const movement = movementNow(core);
  if (movement >= 1) return 1;
  if ((ints[I.attached]! & DISTURBED) !== 0) return moving(core) ? 1 : 0;
  if (movement <= 0) return 0;
  const clock = ints[I.clockMs]!;
  let state = nextRandomState(
    (core.plan.definition.seed ^ Math.imul(Math.floor(clock / SLOT_MS) + 1, 0x9e3779b1)) >>> 0,
  );
  if (randomOf(state) >= movement * BOUT_PER_S * (SLOT_MS / 1000)) return 0;
  state = nextRandomState(state);
  return clock % SLOT_MS < SHORTEST_BOUT_MS + movement * randomOf(state) * LONGER_BY_MS ? 1 : 0;
}
