/** Blood gases of this step from last step's lungs and output, then the oxygen and CO2 stores move on. */
import { clamp, unit } from '../maths/index.ts';
import {
  GAS,
  G_HB,
  G_HCO3,
  G_OUT,
  G_PCO2,
  G_PH,
  G_PO2,
  G_SHIFT,
  G_TARGET,
  G_TEMP,
  bloodPhCell,
  content,
  contentCell,
  contentSlope,
  curveShiftCell,
  po2OfContentCell,
  saturation,
} from './gas.ts';
import { lowShare } from '../diseases/lungs.ts';
import { M_LOST_GAS, M_LOW_VQ, M_SHUNT } from '../diseases/mechanisms.ts';
import { D_SHUNT, drive } from './drive.ts';
import { SLOTS } from './layout.ts';
import { endPressure, pressureReaches } from './ventilator.ts';
import { closeLedger, openLedger } from './ledger.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

const SUPPORT_SHUNT = 0.65;

/** Arterial blood from lungs, shunt and mixed venous blood. */
export function stepOxygen(p: Parameters, s: Float64Array): void {
  const b = s[X.B]!;
  const device = s[X.DEVICE]!;
  // The usual 5 cmH2O opens a third of what is shut; more opens more, less less (chosen here).
  const supported = pressureReaches(s)
    ? clamp(SUPPORT_SHUNT - 0.025 * (endPressure(s) - 5), 0.4, 0.8)
    : device === 5
      ? 0.85
      : 1;
  // Pressure at the mask opens lung that is wet or small, not lung that is cut off, squeezed or solid.
  const sided = s[X.SIDED_SHUNT]!;
  const shunt = clamp(
    (p.shunt0 + p.shuntPerB * b + drive(s, D_SHUNT) + s[M_SHUNT]! - sided) * supported + sided,
    0,
    0.7,
  );
  const low = clamp(p.lowVqPerB * b + s[M_LOW_VQ]!, 0, 0.9 - shunt);
  s[X.SHUNT] = shunt;
  s[X.LOW_VQ] = low;
  const pco2 = s[X.PA_CO2]!;
  // Acute buffering adds 1 mmol/L per 10 mmHg of CO2; lactate takes one for one.
  const hco3 = clamp(24.1 + 0.1 * (pco2 - 40) - (s[X.LACTATE]! - 1) + p.kept, 3, 45);
  GAS[G_HCO3] = hco3;
  GAS[G_PCO2] = pco2;
  bloodPhCell();
  s[X.HCO3] = hco3;
  s[X.PH] = GAS[G_PH]!;
  let shift = 1;
  if (p.bohr > 0) {
    GAS[G_TEMP] = s[X.TEMP]!;
    curveShiftCell();
    shift = GAS[G_OUT]! * p.foetal;
  }
  s[X.SHIFT] = shift;
  const cv = s[X.CV_O2]!;
  GAS[G_HB] = p.hb;
  GAS[G_SHIFT] = shift;
  GAS[G_PO2] = s[X.PA_O2]!;
  contentCell();
  const cc = GAS[G_OUT]!;
  let cl = cc;
  if (low > 0) {
    GAS[G_PO2] = s[X.PL_O2]!;
    contentCell();
    cl = GAS[G_OUT]!;
  }
  const ca = (1 - shunt - low) * cc + low * cl + shunt * cv;
  s[X.CA_O2] = ca;
  GAS[G_TARGET] = ca;
  GAS[G_PO2] = s[X.PAO2]!;
  po2OfContentCell();
  const po2 = GAS[G_OUT]!;
  s[X.PAO2] = po2;
  s[X.SAO2] = saturation(po2 * shift);
  const q = flowOf(p, s);
  const do2 = 10 * q * ca;
  s[X.DO2] = do2;
  const heat = 1 + 0.1 * (s[X.TEMP]! - p.temp0);
  const need = p.vo2 * clamp(heat, 0.5, 1.5);
  // No more than three quarters of what arrives can be taken up.
  s[X.VO2] = need < 0.75 * do2 ? need : 0.75 * do2;
}

/** Output used by the gas model: never quite zero, so that contents stay defined in arrest. */
export function flowOf(p: Parameters, s: Float64Array): number {
  const q = s[X.CO]!;
  const least = 0.02 * p.co0;
  return q > least ? q : least;
}

/** Stores of oxygen and CO2 in lung, blood and tissue, over dtMs; implicit where wash-out is fast. */
export function stepStores(p: Parameters, s: Float64Array, dtMs: number, blocked: boolean): void {
  const h = dtMs / 60000;
  const kept = s[X.LEDGER]! > 0;
  const shift = s[X.SHIFT]!;
  const q = flowOf(p, s);
  const cv = s[X.CV_O2]!;
  const va = s[X.VA]!;
  const ve = s[X.VE]!;
  const inspired = s[X.FIO2]! * 713;
  const shunt = s[X.SHUNT]!;
  const low = s[X.LOW_VQ]!;
  const asleep = p.frcAwake > 1 ? 1 + (p.frcAwake - 1) * unit(s[X.AWAKE]!) * (1 - drive(s, 12)) : 1;
  const lost = s[M_LOST_GAS]!;
  const frc = p.frc * asleep * (1 - (lost < 0.7 ? lost : 0.7));
  // Gas drawn in by uptake alone while nothing moves and the airway is open.
  const still = ve <= 0.05 * p.ve0 && !blocked;
  const mouth = s[X.FIO2]!;
  const pa0 = s[X.PA_O2]!;
  const pl0 = s[X.PL_O2]!;
  const co2 = s[X.PA_CO2]!;
  const tissueCo2 = s[X.PT_CO2]!;
  if (kept) openLedger(s, frc, low);
  if (low > 0) {
    const share = lowShare(s);
    const a = (va * share) / frc;
    const pl = s[X.PL_O2]!;
    const cl = content(pl, p.hb, shift);
    const k = (0.863 / frc) * 10 * q;
    const slope = contentSlope(pl, p.hb, shift);
    const loss = k * (cl - cv) * (still ? 1 - mouth : 1);
    const next = pl + (h * (a * (inspired - pl) - loss)) / (1 + h * (a + k * slope));
    s[X.PL_O2] = clamp(next, 1, 713);
    const main = (1 - low * share) / (1 - low);
    stepMain(p, s, h, (va * main) / frc, frc, q, (1 - shunt - low) / (1 - low), inspired, still ? mouth : 0);
  } else {
    s[X.PL_O2] = s[X.PA_O2]!;
    stepMain(p, s, h, va / frc, frc, q, 1 - shunt, inspired, still ? mouth : 0);
  }
  // Mixed venous blood follows what the tissues leave.
  const ca = s[X.CA_O2]!;
  const store = 10 * 0.75 * s[X.BV]!;
  const newCv = cv + (h * (10 * q * (ca - cv) - s[X.VO2]!)) / store;
  s[X.CV_O2] = newCv > 0.2 ? newCv : 0.2;
  // CO2: lung-and-arterial and tissue stores.
  const kf = p.vco2 / 6;
  const lungStore = 0.12 * p.weight;
  const tissueStore = p.vco2 / 4;
  const wash = va / 0.863;
  const pt = s[X.PT_CO2]!;
  const pa = (s[X.PA_CO2]! + (h * kf * pt) / lungStore) / (1 + h * (kf / lungStore + wash / lungStore));
  s[X.PA_CO2] = clamp(pa, 5, 300);
  const made = p.vco2 * (s[X.VO2]! / p.vo2);
  s[X.PT_CO2] = clamp(pt + (h * (made - kf * (pt - pa))) / tissueStore, 5, 320);
  if (kept) closeLedger(p, s, h, frc, low, q, still ? mouth : 0, pa0, pl0, cv, co2, tissueCo2);
}

function stepMain(
  p: Parameters,
  s: Float64Array,
  h: number,
  a: number,
  frc: number,
  q: number,
  share: number,
  inspired: number,
  mouth: number,
): void {
  const pa = s[X.PA_O2]!;
  const cc = content(pa, p.hb, s[X.SHIFT]!);
  const uptake = 10 * q * share * (cc - s[X.CV_O2]!);
  const next = (pa + h * (a * inspired - (0.863 / frc) * uptake * (1 - mouth))) / (1 + h * a);
  s[X.PA_O2] = clamp(next, 1, 713);
}
