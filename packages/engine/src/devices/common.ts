import type { VitalId } from '@breathline/patient';
import type { RunCore } from '../run/core.ts';
import { I, LIVE } from '../run/layout.ts';
import { VITAL_INDEX } from '../vitals.ts';

export function isAttached(core: RunCore, device: number): boolean {
  return (core.ints[I.attached]! & (1 << device)) !== 0;
}

/** True while a mask lies over the vital (held or handing back). */
export function isOverridden(core: RunCore, vital: VitalId): boolean {
  return core.ints[I.activeMasks] !== 0 && core.ints[I.maskMode + VITAL_INDEX.get(vital)!] !== 0;
}

/** True once the device has failed and has not been attached again since. */
export function isFaulty(core: RunCore, device: number): boolean {
  return (core.ints[I.live]! & (LIVE.failed << device)) !== 0;
}

/** Attached and in order. */
export function isWorking(core: RunCore, device: number): boolean {
  return isAttached(core, device) && !isFaulty(core, device);
}
