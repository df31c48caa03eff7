/**
 * Where every millilitre of oxygen and CO2 went, kept only while the LEDGER slot is 1 (tests). Fluxes are written down from
 * the equations; whether they add up to what the stores really did is the test. Gas volumes in mL at standard conditions:
 * a litre of lung gas at 1 mmHg holds 1/0.863 mL.
 */
import { clamp } from '../maths/index.ts';
import { lowShare } from '../diseases/lungs.ts';
import { content, contentSlope } from './gas.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** Oxygen in lung gas now, mL, of a lung of `frc` litres with a share `low` poorly ventilated. */
export function lungOxygen(s: Float64Array, frc: number, low: number): number {
  return (frc * ((1 - low) * s[X.PA_O2]! + low * s[X.PL_O2]!)) / 0.863;
}

/** Oxygen in mixed venous blood now, mL. */
export function bloodOxygen(s: Float64Array): number {
  return 7.5 * s[X.BV]! * s[X.CV_O2]!;
}

/** What lungs and blood gained or lost by changing size since the last step. */
export function openLedger(s: Float64Array, frc: number, low: number): void {
  if (s[X.L_SET]! > 0) {
    const before = lungOxygen(s, s[X.L_FRC]!, s[X.L_LOW]!);
    s[X.L_O2_RESIZED] = s[X.L_O2_RESIZED]! + lungOxygen(s, frc, low) - before;
    s[X.L_O2_BLOOD_RESIZED] = s[X.L_O2_BLOOD_RESIZED]! + 7.5 * (s[X.BV]! - s[X.L_BV]!) * s[X.CV_O2]!;
  }
  s[X.L_SET] = 1;
  s[X.L_FRC] = frc;
  s[X.L_LOW] = low;
  s[X.L_BV] = s[X.BV]!;
}

/** What moved in this step, from the values before it. */
export function closeLedger(
  p: Parameters,
  s: Float64Array,
  h: number,
  frc: number,
  low: number,
  q: number,
  drawn: number,
  pa0: number,
  pl0: number,
  cv0: number,
  co2: number,
  tissueCo2: number,
): void {
  const shift = s[X.SHIFT]!;
  const inspired = s[X.FIO2]! * 713;
  const va = s[X.VA]!;
  const shunt = s[X.SHUNT]!;
  const share = lowShare(s);
  let inflow = 0;
  let clamped = 0;
  let lag = 0;
  let out = 0;
  if (low > 0) {
    const a = (va * share) / frc;
    const flow = 10 * q * low;
    const uptake = flow * (content(pl0, p.hb, shift) - cv0);
    const slope = contentSlope(pl0, p.hb, shift);
    const k = (0.863 / frc) * 10 * q;
    const next =
      pl0 + (h * (a * (inspired - pl0) - (uptake * (1 - drawn) * 0.863) / (frc * low))) / (1 + h * (a + k * slope));
    inflow += ((frc * low) / 0.863) * h * a * (inspired - next) + h * uptake * drawn;
    // The implicit step takes up a little more or less than the blood of this step carried off.
    lag += h * flow * slope * (next - pl0);
    out += h * uptake;
    clamped += ((frc * low) / 0.863) * (clamp(next, 1, 713) - next);
  }
  const main = low > 0 ? (1 - low * share) / (1 - low) : 1;
  const a = (va * main) / frc;
  const size = frc * (1 - low);
  const uptake = 10 * q * (1 - shunt - low) * (content(pa0, p.hb, shift) - cv0);
  const next = (pa0 + h * (a * inspired - ((0.863 * uptake) / size) * (1 - drawn))) / (1 + h * a);
  inflow += (size / 0.863) * h * a * (inspired - next) + h * uptake * drawn;
  out += h * uptake;
  clamped += (size / 0.863) * (clamp(next, 1, 713) - next);
  s[X.L_O2_IN] = s[X.L_O2_IN]! + inflow;
  s[X.L_O2_LAG] = s[X.L_O2_LAG]! + lag;
  s[X.L_O2_LUNG_TO_BLOOD] = s[X.L_O2_LUNG_TO_BLOOD]! + out;
  const toBlood = h * 10 * q * (s[X.CA_O2]! - cv0);
  s[X.L_O2_TO_BLOOD] = s[X.L_O2_TO_BLOOD]! + toBlood;
  const used = h * s[X.VO2]!;
  s[X.L_O2_USED] = s[X.L_O2_USED]! + used;
  const cv = cv0 + (toBlood - used) / (7.5 * s[X.BV]!);
  s[X.L_O2_CLAMPED] = s[X.L_O2_CLAMPED]! + clamped + (s[X.CV_O2]! - cv) * 7.5 * s[X.BV]!;

  const kf = p.vco2 / 6;
  const lungStore = 0.12 * p.weight;
  const wash = va / 0.863;
  const pa = (co2 + (h * kf * tissueCo2) / lungStore) / (1 + h * (kf / lungStore + wash / lungStore));
  const made = p.vco2 * (s[X.VO2]! / p.vo2);
  s[X.L_CO2_OUT] = s[X.L_CO2_OUT]! + h * wash * pa;
  s[X.L_CO2_MADE] = s[X.L_CO2_MADE]! + h * made;
  const tissue = tissueCo2 + (h * (made - kf * (tissueCo2 - pa))) / (p.vco2 / 4);
  s[X.L_CO2_CLAMPED] = s[X.L_CO2_CLAMPED]! + lungStore * (s[X.PA_CO2]! - pa) + (p.vco2 / 4) * (s[X.PT_CO2]! - tissue);
}
