/** Drive to breathe, what the airways allow, fatigue, and the ventilation that results. */
import { clamp, unit } from '../maths/index.ts';
import { MAGNESIUM, NALOXONE, OPIOID_DOSE } from '../drugs/catalogue.ts';
import { M_DEAD_SPACE, M_OPIOID, M_STIFFNESS, M_URGE } from '../diseases/mechanisms.ts';
import {
  D_APNOEA,
  D_DEAD_SPACE,
  D_OPIOID,
  D_PARALYSIS,
  SHUT,
  agitation,
  airwayBlock,
  drive,
  level,
  ownStore,
} from './drive.ts';
import { SLOTS } from './layout.ts';
import { stepStores } from './oxygen.ts';
import { givenBreath, pressureReaches, stepVentilator, tubeInAirway } from './ventilator.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** Breathing, then the gas stores that depend on it. */
export function stepBreathing(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const sa = s[X.SAO2]!;
  const pco2 = s[X.PA_CO2]!;
  const b = s[X.B]!;
  const u = s[X.U]!;
  const tubed = tubeInAirway(s);
  const supported = pressureReaches(s);
  const upset = agitation(s);

  const blocked = level(s, NALOXONE);
  const given = level(s, OPIOID_DOSE);
  // A standard dose of morphine depresses breathing by about a fifth; ten by nearly all.
  const opioidBefore =
    1 - (1 - drive(s, D_OPIOID)) * (1 - (0.98 * given * given) / (given * given + 6)) * (1 - s[M_OPIOID]!);
  // Antagonist and opioid compete, so the more opioid there is the more naloxone it takes (half-effect chosen here).
  let opioid = opioidBefore * (1 - (0.97 * blocked * blocked) / (blocked * blocked + 0.04 + 0.1 * opioidBefore));
  // Being spoken to loudly and squeezed lifts some of it, while it lasts.
  if (s[X.ROUSED_MIN]! > 0) opioid = Math.max(opioid - 0.15, 0);
  s[X.OPIOID] = opioid;

  // Oxygen drive starts below 94 %, or just below the patient's own saturation.
  const threshold = p.sa0 - 0.01 < 0.94 ? p.sa0 - 0.01 : 0.94;
  const acid = s[X.LACTATE]! > 1.5 ? p.acidDrive * (s[X.LACTATE]! - 1.5) : 0;
  const med = s[X.MED]!;
  const alarm = med > b ? med : b;
  const wish =
    1 +
    p.co2Slope * (pco2 - p.co2Set) +
    2 * unit((threshold - sa) / 0.3) +
    0.8 * alarm +
    acid +
    s[M_URGE]! -
    p.oxygenDrive * s[X.UNMATCHED]!;
  const awake = 1 - opioid;
  const demand =
    awake * p.ve0 * clamp(wish, 0, 5) * (1 + 0.3 * upset) * clamp(1 + 0.1 * (s[X.TEMP]! - p.temp0), 0.6, 1.5);
  s[X.DEMAND] = demand;

  const pressure = clamp((s[X.MAP]! / p.map0 - 0.25) / 0.25, 0, 1);
  const narcosis = p.narcosis > 0 ? 1 - unit((pco2 - p.co2Tolerance - 80) / 70) : 1;
  const alive = s[X.ARREST]! > 0 ? 0 : 1;
  // Gasps, while the brain stem lives on its own store.
  const gasp = 0.4 * unit(2 * ownStore(s) - 0.8);
  const cns =
    Math.max(unit((sa - 0.35) / 0.25), gasp) *
    pressure *
    narcosis *
    alive *
    (1 - drive(s, D_APNOEA)) *
    (1 - s[X.PAUSE]!) *
    (1 - 0.5 * s[X.FIT]!) *
    (1 - s[X.ASLEEP]!);
  s[X.CNS] = cns;

  const rl = 1 + p.resistPerB * b * b;
  // Poiseuille: resistance goes with 1/r^4, and nearer 1/r^5 when flow is turbulent in a crying child.
  const open = Math.max(1 - 0.5 * u, 0.3);
  let ru = 1 / (open * open * open * open);
  if (upset > 0 && u > 0) ru *= 1 + upset * (1 / open - 1);
  const block = airwayBlock(s);
  if (block > 0) {
    const left = Math.max(1 - block, 0.02);
    ru /= left * left * left * left;
  }
  const shut = block > SHUT;
  // Minutes for which a heart shut off from air has lived on its own store; oxygen fills it again as fast.
  const used = s[X.STORE_USED_MIN]!;
  if (shut || used > 0) s[X.STORE_USED_MIN] = Math.max(used + h * (sa < 0.65 ? unit((0.65 - sa) / 0.2) : -1), 0);
  // The tongue falls back when consciousness goes, unless someone holds the airway open.
  const floppy = tubed || s[X.AIRWAY_OPEN]! > 0 ? 0 : unit((0.35 - s[X.AWAKE]!) / 0.35);
  ru *= 1 + p.floppy * floppy;
  if (tubed) ru = 1;
  s[X.R_LOWER] = rl;
  s[X.R_UPPER] = ru;
  // Pressure at the mask holds lung open; pressure with each breath does part of the work as well.
  const relief = s[X.DEVICE] === 8 ? 1.7 : supported ? 1.25 : 1;
  const mag = level(s, MAGNESIUM);
  const strength = (1 - drive(s, D_PARALYSIS)) * (1 - s[X.RELAXED]!) * (mag > 3 ? 1 - 0.8 * unit((mag - 3) / 6) : 1);
  const stiff = s[M_STIFFNESS]! * (supported ? 0.6 : 1);
  const eased = s[X.DEVICE] === 5 ? 1.12 : 1;
  const f = s[X.FATIGUE]!;
  const mvv = (relief * strength * eased * 9 * p.ve0 * (1 - 0.8 * f)) / (1 + 0.12 * (rl - 1) + 0.35 * (ru - 1) + stiff);
  s[X.MVV] = mvv;
  // Nobody under an anaesthetic struggles.
  const aware = 1 - s[X.ASLEEP]!;
  const load = (mvv > 1e-6 ? Math.min(demand / mvv, 20) : 20) * aware * aware * aware;
  s[X.LOAD] = load;
  // Pressure with each breath, set up by people who see the CO2, deepens it.
  const lifted = s[X.DEVICE] === 8 ? 1 + 0.5 * unit((pco2 - 42) / 12) : 1;
  const target = (demand < mvv ? demand : mvv) * cns * lifted;

  // Breaths given by others: a normal breath, less through tight or swollen airways, half as much with a poor airway.
  givenBreath(p, s);
  const breath = s[X.BREATH]!;
  const assist = breath > 0 ? (s[X.BREATHS]! * breath) / (1 + 0.02 * (rl - 1) + 0.1 * (ru - 1) + 0.1 * stiff) : 0;
  s[X.ASSIST] = assist;
  stepVentilator(p, s, dtMs);
  const spont = target > assist ? target : assist;
  let ve = s[X.VE]!;
  ve += unit(h / 0.1) * (spont - ve);
  if (spont <= 0 && ve < 0.01 * p.ve0) ve = 0;
  s[X.VE] = ve;

  // Fatigue builds above 60 % of the sustainable limit and mends below it; rested by a machine.
  const working = assist > target ? 0 : load;
  const rate = p.fatigueRate * Math.max(Math.min(working, 4) - 0.6, 0) * (1 - f) - (working < 0.6 ? 0.03 * f : 0);
  s[X.FATIGUE] = unit(f + h * rate);

  const vdvt = clamp(
    0.3 + 0.3 * b + drive(s, D_DEAD_SPACE) + (s[X.DEVICE] === 5 ? -0.05 : 0) + s[M_DEAD_SPACE]!,
    0.1,
    0.85,
  );
  s[X.VD_VT] = vdvt;
  s[X.VA] = ve * (1 - vdvt);

  // Rate and depth as seen; the gas model uses only their product.
  if (ve < 0.03 * p.ve0) s[X.RR] = 0;
  else if (assist > target) s[X.RR] = s[X.BREATHS]!;
  else {
    const depth =
      (p.vt0 * clamp(Math.sqrt(demand / p.ve0), 1, 1.6) * lifted) /
      (1 + 0.6 * b + 0.5 * f + 0.4 * Math.min(s[M_STIFFNESS]!, 1.5));
    s[X.RR] = Math.min(ve / depth, p.rr0 * 3.2, 100);
  }
  stepStores(p, s, dtMs, shut);
}
