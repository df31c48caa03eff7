/** What people have set in motion: ramps of drives, doses that take time, infusions, oxygen at the face, posture. */
import { clamp, unit } from '../maths/index.ts';
import { deliver } from '../drugs/deliver.ts';
import { POSTURE_SHIFT } from './codes.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** Inspired fraction of the device on the face, washed in or out over 10 s, in place: no number leaves as a box. */
function stepFace(p: Parameters, s: Float64Array, dtMs: number): void {
  const device = s[X.DEVICE]!;
  const flow = s[X.FLOW]!;
  const set = s[X.FIO2_SET]!;
  const squeezed = s[X.BREATHS]! > 0;
  // Variable-performance devices are diluted by room air when the patient breathes hard; size chosen here.
  const dilution = clamp(1.15 - 0.15 * (s[X.VE]! / p.ve0), 0.7, 1);
  let f = 0.21;
  switch (device) {
    case 1: // nasal cannula: 0.24-0.44 at 1-6 L/min
      f = 0.21 + clamp(0.035 * (flow > 0 ? flow : 2), 0, 0.19) * dilution;
      break;
    case 2: // simple mask: 0.35-0.60 at 5-10 L/min; below 5 expired gas is breathed again
      f = 0.21 + (0.19 + 0.03 * (clamp(flow > 0 ? flow : 6, 2, 10) - 5)) * dilution;
      break;
    case 3: // fixed-performance mask: the valve sets the fraction
      f = set > 0 ? set : 0.28;
      break;
    case 4: // mask with reservoir: 0.60-0.90 in practice at 10-15 L/min
      f = 0.21 + 0.54 * unit((flow > 0 ? flow : 15) / 10) * dilution;
      break;
    case 5:
    case 7:
    case 8:
      f = set > 0 ? set : flow > 0 ? clamp(0.21 + 0.03 * flow, 0.21, 0.6) : 0.4;
      break;
    case 6: // bag, mask and reservoir: near pure when squeezed, much less when only held over the face
      f = set > 0 ? set : squeezed ? 0.95 : 0.5;
      break;
    case 9:
      f = s[X.TUBE_GULLET]! > 0 ? 0.21 : set > 0 ? set : 0.95;
      break;
  }
  const wanted = clamp(f, 0.21, 1);
  const h = dtMs / 60000;
  s[X.FIO2] = s[X.FIO2]! + (wanted - s[X.FIO2]!) * unit(h * 6);
}

function ramps(s: Float64Array, base: number, count: number, dtMs: number): void {
  for (let i = 0; i < count; i++) {
    const at = base + X.DRIVE_STRIDE * i;
    const left = s[at + 2]!;
    if (left > 0) {
      if (left <= dtMs) {
        s[at] = s[at + 1]!;
        s[at + 2] = 0;
      } else {
        s[at] = s[at]! + ((s[at + 1]! - s[at]!) * dtMs) / left;
        s[at + 2] = left - dtMs;
      }
    }
  }
}

/** Advances everything that was set in motion by dtMs. */
export function stepDelivery(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  ramps(s, X.DRIVE_BASE, X.DRIVE_COUNT, dtMs);
  ramps(s, X.EXTRA_DRIVE_BASE, X.EXTRA_DRIVE_COUNT, dtMs);
  for (let i = 0; i < X.QUEUE_COUNT; i++) {
    const at = X.QUEUE_BASE + X.QUEUE_STRIDE * i;
    const left = s[at + 2]!;
    if (left > 0) {
      const part = s[at + 3]! * h;
      const given = part < left ? part : left;
      s[at + 2] = left - given;
      deliver(p, s, s[at]!, s[at + 1]!, given);
      if (left - given <= 0) s[at] = 0;
    }
  }
  if (s[X.FLUID_RATE]! > 0) deliver(p, s, 9, 1, s[X.FLUID_RATE]! * h);
  if (s[X.AD_RATE]! > 0)
    s[X.AD_C] = s[X.AD_C]! + (s[X.AD_RATE]! * h * p.infusionGain) / (p.weight * p.adrenalineVolume);
  stepFace(p, s, dtMs);
  const shift = POSTURE_SHIFT[s[X.POSTURE_CODE]!] ?? 0;
  s[X.POSTURE] = s[X.POSTURE]! + (shift - s[X.POSTURE]!) * unit(h * 8);
}
