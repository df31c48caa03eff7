/**
 * Devices: what a monitor would show, which is not the truth. Each has a delay, a failure and seeded noise of its own.
 * Where faculty override a vital, the device shows the override at once and keeps its filters there, so that a handback
 * is smooth.
 */
import type { DeviceId } from '@breathline/scenario';
import type { RunCore } from '../run/core.ts';
import { DEVICE, DEVICES, deviceIndex, I, LIVE } from '../run/layout.ts';
import { isAttached, isFaulty } from './common.ts';
import { resetCapnography, stepCapnography } from './capnography.ts';
import { resetCuff, stepCuff } from './cuff.ts';
import { resetEcg, stepEcg } from './ecg.ts';
import { startMovement, stepMovement } from './movement.ts';
import { resetOximeter, startFinger, stepFinger, stepOximeter } from './oximeter.ts';
import { resetGlucose, resetThermometer, stepGlucose, stepThermometer } from './spot.ts';

/** From the failed bits of I.live to those of I.attached. */
const FAILED_SHIFT = 8;

/** Values at time 0. */
export function startDevices(core: RunCore): void {
  startFinger(core);
  startMovement(core);
  for (let device = 0; device < DEVICES.length; device++) resetDevice(core, device);
}

function resetDevice(core: RunCore, device: number): void {
  if (device === DEVICE.oximeter) resetOximeter(core);
  else if (device === DEVICE.ecg) resetEcg(core);
  else if (device === DEVICE.cuff) resetCuff(core);
  else if (device === DEVICE.capnography) resetCapnography(core);
  else if (device === DEVICE.thermometer) resetThermometer(core);
  else resetGlucose(core);
}

/** Attaches a device; harmless if it already is, except that a spot device measures again. */
export function attachDevice(core: RunCore, id: DeviceId): void {
  const device = deviceIndex(id);
  if (device < 0) {
    core.fault(`There is no device called “${id}”.`);
    return;
  }
  const again = isAttached(core, device) && !isFaulty(core, device);
  if (again && device !== DEVICE.thermometer && device !== DEVICE.glucose) return;
  core.ints[I.live]! &= ~(LIVE.failed << device);
  core.ints[I.attached]! |= 1 << device;
  core.ints[I.attachedAt + device] = core.clockMs;
  resetDevice(core, device);
}

export function removeDevice(core: RunCore, id: DeviceId): void {
  const device = deviceIndex(id);
  if (device < 0) return;
  core.ints[I.attached]! &= ~(1 << device);
  core.ints[I.live]! &= ~(LIVE.failed << device);
  resetDevice(core, device);
}

/** A device that is on the patient fails: it shows nothing and measures nothing until it is attached again. */
export function failDevice(core: RunCore, id: DeviceId): void {
  const device = deviceIndex(id);
  if (device < 0 || !isAttached(core, device)) return;
  core.ints[I.live]! |= LIVE.failed << device;
  resetDevice(core, device);
}

/** One step of every attached device. Blood on its way to the finger moves whether or not a probe is on it. */
export function stepDevices(core: RunCore): void {
  stepFinger(core);
  const attached = core.ints[I.attached]! & ~(core.ints[I.live]! >> FAILED_SHIFT);
  if (attached === 0) return;
  stepMovement(core);
  if ((attached & (1 << DEVICE.oximeter)) !== 0) stepOximeter(core);
  if ((attached & (1 << DEVICE.ecg)) !== 0) stepEcg(core);
  if ((attached & (1 << DEVICE.cuff)) !== 0) stepCuff(core);
  if ((attached & (1 << DEVICE.capnography)) !== 0) stepCapnography(core);
  if ((attached & (1 << DEVICE.thermometer)) !== 0) stepThermometer(core);
  if ((attached & (1 << DEVICE.glucose)) !== 0) stepGlucose(core);
}
