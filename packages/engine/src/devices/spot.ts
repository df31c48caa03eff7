/**
 * Spot devices: a thermometer that warms up and reads when it has, and a glucose meter that counts down on a drop taken
 * when it was put to use. Each gives one reading, which stands. A drop from cold, pale skin is less to be trusted (from
 * memory: capillary glucose in shock; the size is a choice made here).
 */
import type { RunCore } from '../run/core.ts';
import { DEVICE, I, N } from '../run/layout.ts';
import { nextNoise } from '../run/noise.ts';
import { isOverridden } from './common.ts';

/** Common practice, no source. */
const THERMOMETER_MS = 10_000;
const GLUCOSE_MS = 20_000;
/** Spread of the meter, as a share of the value, from a well perfused finger and from a poorly perfused one. */
const SPREAD = 0.03;
const SPREAD_POOR = 0.1;
const POOR_PERFUSION = 0.35;

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
  const [value, trueValue] = [nums[N.thermometerShown]!, core.vitals.temperatureCelsius];
  core.sink?.({ kind: 'reading', atMs: core.clockMs, device: 'thermometer', value, trueValue });
}

export function resetGlucose(core: RunCore): void {
  core.ints[I.glucoseReadAt] = -1;
  core.nums[N.glucoseShown] = 0;
  core.nums[N.glucoseDrop] = core.vitals.glucoseMmolPerL;
  core.nums[N.glucosePerfusion] = core.vitals.perfusionFraction;
}

export function stepGlucose(core: RunCore): void {
  const { ints, nums } = core;
  if (ints[I.glucoseReadAt]! >= 0) return;
  if (ints[I.clockMs]! - ints[I.attachedAt + DEVICE.glucose]! < GLUCOSE_MS) return;
  ints[I.glucoseReadAt] = ints[I.clockMs]!;
  const spread = nums[N.glucosePerfusion]! < POOR_PERFUSION ? SPREAD_POOR : SPREAD;
  const noise = nextNoise(ints, I.noise + DEVICE.glucose) * spread;
  // An override is shown as it stands now, as on every device.
  const drop = isOverridden(core, 'glucoseMmolPerL') ? core.vitals.glucoseMmolPerL : nums[N.glucoseDrop]!;
  nums[N.glucoseShown] = tenth(Math.max(0, drop * (1 + noise)));
  core.sink?.({
    kind: 'reading',
    atMs: core.clockMs,
    device: 'glucose-meter',
    value: nums[N.glucoseShown]!,
    sampledAtMs: ints[I.attachedAt + DEVICE.glucose]!,
    trueValue: drop,
  });
}
