/** Consciousness, temperature, glucose, lactate, and the short memory that tells rising from falling. */
import { clamp, unit } from '../maths/index.ts';
import { M_FEVER, M_VASOPLEGIA } from '../diseases/mechanisms.ts';
import { AMINOPHYLLINE, GLUCAGON } from '../drugs/catalogue.ts';
import { D_FEVER, D_GLUCOSE, D_PARALYSIS, drive, level } from './drive.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** Slow quantities over dtMs. */
export function stepBody(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const oxygen = unit((s[X.SAO2]! - 0.45) / 0.3);
  // Confused and drowsy below about three quarters of the usual mean pressure, where the brain can hold its own flow no longer;
  // gone near a third (lower limit of autoregulation and fainting: textbook, from memory). Blood loss above 30 % dulls the mind
  // (Spahn DR et al. Crit Care 2019;23:98, table 3).
  const share = s[X.MAP]! / p.map0;
  const pressure = unit((share - 0.3) / 0.28) * (1 - p.faint * unit((0.76 - share) / 0.16));
  // Infected blood clouds it at any pressure: altered mentation is one of three bedside signs of sepsis (Seymour CW et al. JAMA
  // 2016;315:762-74). Size chosen here.
  const clouded = 1 - 0.25 * Math.min(s[M_VASOPLEGIA]!, 1);
  // Confused and drowsy from about 70 mmHg, rousable to pain in the eighties, coma above 100, in whoever is not used to it.
  const carbon = 1 - unit((s[X.PA_CO2]! - p.co2Tolerance - 60) / 45);
  const sugar = unit((s[X.GLUCOSE]! - 1.2) / 1.6);
  const anaesthetised = 1 - drive(s, D_PARALYSIS);
  const opioid = 1 - 0.95 * s[X.OPIOID]! * s[X.OPIOID]!;
  const alive = s[X.ARREST]! > 0 ? 0 : 1;
  const awake =
    oxygen *
    pressure *
    clouded *
    carbon *
    sugar *
    opioid *
    anaesthetised *
    alive *
    (1 - 0.25 * s[X.FATIGUE]!) *
    (1 - s[X.ASLEEP]!) *
    (1 - s[X.FIT]!) *
    (1 - s[X.STUNNED]!);
  // Lost within about ten seconds, regained within half a minute.
  const tau = awake < s[X.AWAKE]! ? 0.15 : 0.5;
  s[X.AWAKE] = unit(s[X.AWAKE]! + unit(h / tau) * (awake - s[X.AWAKE]!));

  s[X.TEMP] = clamp(s[X.TEMP]! + (h / 20) * (p.temp0 + drive(s, D_FEVER) + s[M_FEVER]! - s[X.TEMP]!), 28, 43);
  const sugarTarget = Math.max(p.glucose0 + drive(s, D_GLUCOSE) + 3 * s[X.AD_E]! + glucagonSugar(s), 0.5);
  s[X.GLUCOSE] = clamp(s[X.GLUCOSE]! + (h / 25) * (sugarTarget - s[X.GLUCOSE]!), 0.3, 60);

  stepFit(s, h);
  s[X.LACTATE] = clamp(s[X.LACTATE]! + h * (lactateMade(p, s) - 0.035 * (s[X.LACTATE]! - 1)), 0.5, 25);

  const k = unit(h * 6);
  s[X.LAG_SAO2] = s[X.LAG_SAO2]! + k * (s[X.SAO2]! - s[X.LAG_SAO2]!);
  s[X.LAG_MAP] = s[X.LAG_MAP]! + k * (s[X.MAP]! - s[X.LAG_MAP]!);
  s[X.LAG_HR] = s[X.LAG_HR]! + k * (s[X.HR]! - s[X.LAG_HR]!);
  s[X.LAG_CO2] = s[X.LAG_CO2]! + k * (s[X.PA_CO2]! - s[X.LAG_CO2]!);
  s[X.LAG_VE] = s[X.LAG_VE]! + k * (s[X.VE]! - s[X.LAG_VE]!);
  s[X.LAG_E] = s[X.LAG_E]! + k * (s[X.AD_E]! - s[X.LAG_E]!);
  s[X.LAG_B] = s[X.LAG_B]! + k * (s[X.B]! - s[X.LAG_B]!);
  s[X.LAG_MED] = s[X.LAG_MED]! + k * (s[X.MED]! - s[X.LAG_MED]!);
}

/**
 * Lactate made, mmol/L/min; cleared with a half-life near 20 min. Tissues that get less oxygen than they use make it, and
 * so do those that take most of what comes (extraction above 0.4; critical 0.6-0.7, textbook): without output 0.7 a minute,
 * shaped to 9.6 mmol/L, the mean during resuscitations of 29 min (Wang CH et al. Crit Care 2015;19:344). So does flow without
 * the pressure to drive it everywhere. Infected blood makes it whatever the flow, towards its own level within minutes (hours in
 * life, pressed together as the illness is): above 2 mmol/L defines septic shock (Singer M et al. JAMA 2016;315:801-10).
 * Salbutamol: 2.9 mmol/L in adults after two hours of high doses (Rodrigo GJ, Rodrigo C. Emerg Med J 2005;22:404-8), 4.4 in
 * children an hour after three nebulisers
 * (Radwan ZM et al. 2004). Sizes chosen here.
 */
function lactateMade(p: Parameters, s: Float64Array): number {
  const used = s[X.VO2]!;
  const short = unit(1 - used / p.vo2);
  const extraction = s[X.DO2]! > 0 ? used / s[X.DO2]! : 0.75;
  const working = 0.03 * unit((s[X.LOAD]! - 0.6) / 0.6) * s[X.CNS]!;
  return (
    0.5 * short +
    0.35 * unit((extraction - 0.36) / 0.3) +
    0.6 * s[X.FIT]! * s[X.FIT]! * (1 - s[X.RELAXED]!) +
    0.12 * Math.max(1 + 6.5 * Math.min(s[M_VASOPLEGIA]!, 1) - s[X.LACTATE]!, 0) +
    0.12 * unit((0.6 - s[X.MAP]! / p.map0) / 0.3) +
    working +
    0.08 * s[X.AD_E]! +
    0.1 * s[X.AD_EX]! +
    0.15 * s[X.E_SALB]!
  );
}

/**
 * A fit from too much theophylline. Major toxicity (fits, arrhythmias) came above 100 mg/L after acute poisoning, ten loading doses
 * here, and far lower after chronic use, which is not modelled (Shannon M. Ann Intern Med 1993;119:1161-7, abstract seen). It starts a
 * little before and goes on until the level has fallen or an anaesthetic ends it (chosen here).
 */
function stepFit(s: Float64Array, h: number): void {
  const theophylline = level(s, AMINOPHYLLINE);
  const fit = s[X.FIT]!;
  if (theophylline < 7 && fit === 0) return;
  const from = fit > 0.05 ? 7 : 9;
  const aimed = theophylline > from && s[X.ARREST]! <= 0 ? 1 - s[X.ASLEEP]! : 0;
  const next = fit + unit(h / 0.1) * (aimed - fit);
  s[X.FIT] = next < 1e-4 ? 0 : next;
}

/** Glucagon empties the liver's sugar store: up to 3 mmol/L (chosen here). */
function glucagonSugar(s: Float64Array): number {
  const g = level(s, GLUCAGON);
  return (3 * g) / (g + 0.5);
}
