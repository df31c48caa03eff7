/** Volume, leak, resistance, contractility, reflex rate and the pressures that follow. */
import { clamp, exp, unit } from '../maths/index.ts';
import { CELL, expCell } from '../maths/elementary.ts';
import { AMINOPHYLLINE, GLUCAGON, MAGNESIUM } from '../drugs/catalogue.ts';
import { M_AGITATION, M_URGE, M_VASOPLEGIA, M_WEAKNESS } from '../diseases/mechanisms.ts';
import { D_BLEEDING, D_VASOPLEGIA, D_WEAK_HEART, betaBlock, drive, level, ownStore } from './drive.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

const REFLEX_0 = 1 / (1 + exp(9 * 0.22));

/** Volumes, heart and pressures over dtMs. */
export function stepCirculation(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const m = s[X.MED]!;
  const e = s[X.AD_E]!;
  const ex = s[X.AD_EX]!;
  const beta = e * (1 - 0.8 * betaBlock(s));
  const gluc = level(s, GLUCAGON);
  const glucagon = gluc / (gluc + 0.5);
  const sym = s[X.SYMP]!;
  const sa = s[X.SAO2]!;
  const loss = Math.min(drive(s, D_VASOPLEGIA) + s[M_VASOPLEGIA]!, 1);

  // Leak, return, crystalloid on its way out, bleeding.
  const bv0 = p.bv0;
  const room = Math.max(0, 1 - s[X.LEAKED]! / (p.leakMax * bv0));
  // Infected blood seeps as well, more slowly (chosen here).
  const leak =
    p.leakRate * p.tempo * p.wVessels * bv0 * m * m * (1 - 0.8 * e) * room + 0.006 * s[M_VASOPLEGIA]! * bv0 * room;
  const back = 0.004 * s[X.LEAKED]!;
  s[X.LEAKED] = Math.max(s[X.LEAKED]! + h * (leak - back), 0);
  const leaving = 0.087 * s[X.VI]!;
  s[X.VI] = Math.max(s[X.VI]! - h * leaving, 0);
  const bleed = (drive(s, D_BLEEDING) * p.weight) / 1000;
  s[X.BV] = clamp(s[X.BV]! + h * (back - leak - 0.75 * leaving - bleed), 0.3 * bv0, 2 * bv0);

  const unstressed =
    0.7 *
    bv0 *
    (1 +
      p.venous * p.wVessels * m * (1 - 0.8 * e) +
      0.1 * loss -
      0.12 * sym -
      0.04 * e +
      s[X.POSTURE]! +
      s[X.DRUG_VEINS]!);
  const filling = clamp((s[X.BV]! - unstressed) / (0.3 * bv0), 0, 2) * (1 - s[X.TAMPING]!) * (1 - s[X.PRESSED]!);
  s[X.PRELOAD] = filling;
  const store = ownStore(s);
  const supply = Math.max(unit(s[X.DO2]! / (2 * p.vo2)), 0.8 * store);
  const contract =
    (1 + 0.25 * sym + 0.25 * beta + 0.2 * glucagon) *
    (1 - p.depression * m * (1 - e)) *
    (1 - drive(s, D_WEAK_HEART)) *
    (1 - Math.min(s[M_WEAKNESS]!, 0.9)) *
    (0.15 + 0.85 * supply) *
    unit(1 - s[X.DEBT]!) *
    (1 - 0.35 * s[X.STUNNED]!) *
    (1 - 0.5 * s[X.STRAIN]!) *
    (1 - 0.15 * s[X.RESTRAINT]! * (1 - ex));
  const arrested = s[X.ARREST]! > 0;
  // A very fast heart has no time to fill.
  const hurry = s[X.RHYTHM] === 4 ? 0.55 : 1;
  const willing = arrested ? 0 : p.sv0 * ((2 * filling) / (1 + filling)) * contract * hurry;

  const mag = level(s, MAGNESIUM);
  const theophylline = level(s, AMINOPHYLLINE);
  const poisoned = theophylline > 2 ? unit((theophylline - 2) / 6) : 0;
  // Magnesium pushed in fast opens vessels: what is still in the vein beyond a slow infusion's share.
  const rush = Math.max(s[X.LEVEL_BASE + X.LEVEL_STRIDE * MAGNESIUM + 2]! - 0.35, 0);
  // Working muscle and hot skin open their vessels: the heart beats faster for them, the pressure hardly moves. What of a rise is
  // left in distress, lack of oxygen and high CO2 is the body's own answer to them.
  const busy = 0.4 * s[M_URGE]! + 0.25 * s[M_AGITATION]! + 0.1 * Math.max(s[X.TEMP]! - p.temp0, 0);
  const opened = 1 / (1 + busy);
  const tone =
    p.svr0 *
    (1 - p.dilation * unit(p.wVessels * m) * (1 - 0.85 * e)) *
    (1 - 0.6 * loss * (1 - 0.5 * e)) *
    (1 + 0.9 * sym * (1 - 0.5 * m * (1 - e)) + 0.35 * e + 1.3 * ex) *
    (1 - (0.08 * mag) / (mag + 0.5)) *
    (1 - (0.3 * rush) / (rush + 0.8)) *
    (1 - 0.45 * s[X.RESTRAINT]! * (1 - ex)) *
    (1 - s[X.DRUG_ARTERIES]!) *
    // Theophylline in excess quickens the heart and opens vessels (tachycardia, hypotension: toxicology texts, from memory).
    (1 - 0.4 * poisoned) *
    opened;
  s[X.SVR] = s[X.SVR]! + unit(h / 0.15) * (tone - s[X.SVR]!);

  if (!arrested) {
    const load = s[X.LOAD]!;
    const distress = unit((load - 0.2) / 0.6);
    const hypoxia = unit((0.94 - sa) / 0.15);
    const carbon = unit((s[X.PA_CO2]! - 45) / 30);
    const slow = Math.max(1 - 0.75 * (1 - unit((sa - 0.3) / 0.4)), 0.85 * store);
    const fall = unit((0.6 * p.map0 - s[X.MAP]!) / 20);
    const block = 1 - 0.5 * betaBlock(s);
    const rise =
      p.hrReflex * sym +
      0.25 * beta +
      p.hrMediator * m +
      0.3 * distress +
      0.2 * hypoxia +
      0.15 * carbon +
      0.32 * s[X.E_SALB]! +
      (0.12 * theophylline) / (theophylline + 0.5) +
      0.8 * poisoned +
      0.1 * Math.max(s[X.TEMP]! - p.temp0, 0) +
      0.3 * glucagon +
      0.4 * s[M_URGE]! +
      0.25 * s[M_AGITATION]!;
    let target =
      p.hr0 *
      Math.min(p.hrTop, 1 + rise * block) *
      slow *
      unit(1 - s[X.DEBT]!) *
      (1 - 0.35 * p.vagal * fall) *
      (1 - 0.2 * s[X.RESTRAINT]! * (1 - ex));
    // An overdose drives the rate past what reflexes can do.
    target += p.hr0 * 0.7 * ex * slow * block;
    if (s[X.RHYTHM] === 4) target = Math.max(target, p.age < 10 ? 210 : 180);
    s[X.HR] = clamp(s[X.HR]! + unit(h / 0.08) * (target - s[X.HR]!), 0, 300);
  }
  let q = arrested ? compressed(p, s, filling) : (s[X.HR]! * willing) / 1000;
  let map = Math.max(p.cvp * filling + q * s[X.SVR]!, 0);
  // Against a pressure far above its own the ventricle ejects less with each beat, in a straight line with that pressure (Suga H,
  // Sagawa K. Circ Res 1974;35:117-26, from memory); solved with the pressure itself. Slope and start chosen here, see the README.
  const usual = p.balk * p.map0;
  if (!arrested && map > usual) {
    const free = map;
    map = (free * (1 + p.afterload * p.balk)) / (1 + (p.afterload * free) / p.map0);
    if (q > 0) q = Math.max(map - p.cvp * filling, 0) / s[X.SVR]!;
  }
  s[X.CO] = q;
  s[X.MAP] = map;
  const sv = arrested || s[X.HR]! <= 0 ? 0 : (q / s[X.HR]!) * 1000;
  s[X.SV] = sv;
  wear(s, h);
  const stroke = arrested ? (q / Math.max(s[X.CPR]!, 60)) * 1000 * 1.6 : sv;
  // Arteries stretched far are stiffer: the same beat makes a bigger pulse.
  const stretched = map > usual ? 1 + 0.8 * (map / p.map0 - p.balk) : 1;
  const pulse = Math.min(p.pp0 * (stroke / p.sv0) * (0.7 + (0.3 * s[X.SVR]!) / p.svr0) * stretched, 2.4 * map);
  s[X.SBP] = map + (2 / 3) * pulse;
  s[X.DBP] = map - pulse / 3;

  const miss = (p.map0 - map) / p.map0;
  CELL[0] = -9 * (miss - 0.22);
  expCell();
  // Vessels short of oxygen do not hold on: half of the reflex is left in arrest (chosen here).
  const answers = (arrested ? 0.5 : 1) * (1 - s[X.DRUG_REFLEX]!);
  const reflex = unit((1 / (1 + CELL[0]) - REFLEX_0) / (1 - REFLEX_0)) * answers;
  // High pressure is answered too: vessels and heart slacken.
  const over = p.restraint * unit((map / p.map0 - 1.05) / 0.5);
  s[X.RESTRAINT] = unit(s[X.RESTRAINT]! + unit(h / 0.2) * (over - s[X.RESTRAINT]!));
  s[X.SYMP] = unit(sym + unit(h / 0.2) * (reflex - sym));

  const bad = Math.max(unit((0.55 - sa) / 0.25), unit((0.45 - map / p.map0) / 0.2));
  s[X.DEBT] = unit(s[X.DEBT]! + h * (p.debtRate * bad * (1 - 0.75 * store) - 0.05 * (1 - bad) * s[X.DEBT]!));

  const warm = unit(p.wVessels * m * (1 - e)) * unit((filling - 0.55) / 0.3);
  s[X.REFILL] = 1.5 + 4.5 * unit(sym) * (1 - 0.7 * warm) + 2 * unit(miss - 0.3);
  const perfusion = unit(pulse / p.pp0) * (1 - 0.6 * sym * (1 - 0.7 * warm)) * (1 - 0.3 * ex);
  s[X.PERFUSION] = unit(perfusion);
}

/**
 * Heart muscle is worn by an overdose of adrenaline and mends slowly: high pressure first, then a weak heart and a low one (three
 * children given 0.16-1.1 mg/kg by vein: Tidsskr Nor Laegeforen 1998;118:1080-1; transient systolic failure: Kanwar M et al. Ann
 * Emerg Med 2010;55:341-4; abstracts seen). Speed and size chosen here.
 */
function wear(s: Float64Array, h: number): void {
  const ex = s[X.AD_EX]!;
  const worn = s[X.STRAIN]!;
  if (ex <= 0.3 && worn === 0) return;
  s[X.STRAIN] = unit(worn + h * ((ex > 0.3 ? 0.12 * (ex - 0.3) * (1 - worn) : 0) - worn / 90));
}

/** Output from chest compressions, L/min: about a quarter of normal at a good rate, less from an empty heart. */
function compressed(p: Parameters, s: Float64Array, filling: number): number {
  const rate = s[X.CPR]!;
  if (rate <= 0) return 0;
  const good = unit(rate / 100) * (rate > 130 ? 0.8 : 1);
  return 0.27 * p.co0 * good * Math.min((2 * filling) / (1 + filling), 1.2);
}
