/**
 * The patient's movements as devices feel them. A frightened child pulls at the probe and bends the arm; compressions
 * shake everything. Movement comes in bouts, from a noise stream of its own, and never alters the patient.
 *
 * How often and how long is common practice, no source: enough to teach "look at the patient, then at the trace", rarely
 * enough that a number is there most of the time.
 */
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

/** Once a second. Two numbers are drawn whatever happens, so that movement never shifts its own stream. */
export function stepMovement(core: RunCore): void {
  const { ints, nums, vitals } = core;
  const clock = ints[I.clockMs]!;
  if (ints[I.movementUntil]! >= 0 && clock >= ints[I.movementUntil]!) ints[I.movementUntil] = -1;
  if (clock % 1000 !== 0 || (ints[I.attached]! & DISTURBED) === 0) return;
  const starts = nextUniform(ints, I.movementNoise);
  const lasts = nextUniform(ints, I.movementNoise);
  const compressions = vitals.arrested >= 0.5 && vitals.pulseRatePerMin > 0;
  const movement =
    vitals.arrested >= 0.5
      ? compressions
        ? 1
        : 0
      : BY_AGITATION[readSignIndex(core.plan.model, core.patient, 'agitation')]!;
  nums[N.movement] = movement;
  if (ints[I.movementUntil]! >= 0 || movement <= 0 || starts >= movement * BOUT_PER_S) return;
  ints[I.movementUntil] = clock + SHORTEST_BOUT_MS + Math.floor(movement * lasts * (LONGER_BY_MS / 100)) * 100;
}

/** True during a bout, and throughout compressions. */
export function moving(core: RunCore): boolean {
  return core.ints[I.movementUntil]! >= 0 || core.nums[N.movement]! >= 1;
}
