/** Spot devices: a thermometer that warms up and a glucose meter that counts down. Each gives one reading, which stands. */
import type { RunCore } from '../run/core.ts';
import { DEVICE, I, N } from '../run/layout.ts';
import { nextNoise } from '../run/noise.ts';

/** Common practice, no source. */
const THERMOMETER_MS = 10_000;
const GLUCOSE_MS = 20_000;

/** One decimal, without the binary tail of a product. */
const tenth = (value: number): number => Math.round(value * 10) / 10;

export function resetThermometer(core: RunCore): void {
  core.ints[I.thermometerReadAt] = -1;
  core.nums[N.thermometerShown] = 0;
}

export function stepThermometer(core: RunCore): void {
  const { ints, nums } = core;
  if (ints[I.thermometerReadAt]! >= 0) return;
  if (ints[I.clockMs]! - ints[I.attachedAt + DEVICE.thermometer]! < THERMOMETER_MS) return;
  ints[I.thermometerReadAt] = ints[I.clockMs]!;
  const noise = nextNoise(ints, I.noise + DEVICE.thermometer) * 0.1;
  nums[N.thermometerShown] = tenth(core.vitals.temperatureCelsius + noise);
  core.sink?.({ kind: 'reading', atMs: core.clockMs, device: 'thermometer', value: nums[N.thermometerShown]! });
}

export function resetGlucose(core: RunCore): void {
  core.ints[I.glucoseReadAt] = -1;
  core.nums[N.glucoseShown] = 0;
}

export function stepGlucose(core: RunCore): void {
  const { ints, nums } = core;
  if (ints[I.glucoseReadAt]! >= 0) return;
  if (ints[I.clockMs]! - ints[I.attachedAt + DEVICE.glucose]! < GLUCOSE_MS) return;
  ints[I.glucoseReadAt] = ints[I.clockMs]!;
  const noise = nextNoise(ints, I.noise + DEVICE.glucose) * 0.03;
  nums[N.glucoseShown] = tenth(Math.max(0, core.vitals.glucoseMmolPerL * (1 + noise)));
  core.sink?.({ kind: 'reading', atMs: core.clockMs, device: 'glucose-meter', value: nums[N.glucoseShown]! });
}
