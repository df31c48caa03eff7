/**
 * Breaths pushed in: how much each brings, what stays behind, and what pressure in the chest takes from the heart's filling.
 *
 * Air left behind: emptying is exponential with a time constant that grows with bronchospasm, so a breath that starts too
 * early adds to what is there: steady `VT·x/(1−x)`, `x = exp(−Te/τ)`, Te the time to breathe out. Expiratory time and minute
 * volume decide it, and pressure falls with it (Tuxen DV, Lane S. Am Rev Respir Dis 1987;136:872-9, from memory; Oddo M et
 * al. and Stather DR, Stewart TE. Crit Care 2005;9:581-7, abstract seen). Too many breaths in arrest halve flow and lose
 * lives (Aufderheide TP et al. Circulation 2004;109:1960-5, from memory). Sizes chosen here.
 */
import { exp, unit } from '../maths/index.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** A tube that lies in the windpipe (not in the gullet). */
export function tubeInAirway(s: Float64Array): boolean {
  return s[X.DEVICE] === 9 && s[X.TUBE_GULLET] === 0;
}

/** Pressure support that reaches the lungs: CPAP, NIV or a tube in the right place. */
export function pressureReaches(s: Float64Array): boolean {
  const device = s[X.DEVICE]!;
  return device === 7 || device === 8 || tubeInAirway(s);
}

/**
 * Litres each given breath would bring through open airways, into BREATH; 0 while nobody gives any or while a tube is being
 * passed. Numbers go by way of the state here and below, so that none is boxed.
 */
export function givenBreath(p: Parameters, s: Float64Array): void {
  const lost = s[X.BREATHS]! <= 0 || s[X.ATTEMPT_LEFT_MIN]! > 0 || (s[X.DEVICE] === 9 && s[X.TUBE_GULLET]! > 0);
  if (lost) {
    s[X.BREATH] = 0;
    return;
  }
  const set = s[X.TIDAL_SET]!;
  const volume = set > 0 ? (set * p.lean) / 1000 : p.vt0 * 1.1;
  const seal = s[X.DEVICE] === 9 ? 1 : s[X.MASK_SEAL]! > 0 ? s[X.MASK_SEAL]! : s[X.DEVICE] === 6 ? 0.9 : 0.6;
  s[X.BREATH] = volume * seal;
}

/** End-expiratory pressure that reaches the lungs, cmH2O: as set, else the usual 5, and none through a loose mask. */
export function endPressure(s: Float64Array): number {
  if (!pressureReaches(s)) return 0;
  return s[X.PEEP_SET]! > 0 ? s[X.PEEP_SET]! - 1 : 5;
}

/** Trapped air and filling lost, over dtMs, from the ventilation given (ASSIST). */
export function stepVentilator(p: Parameters, s: Float64Array, dtMs: number): void {
  const h = dtMs / 60000;
  const assist = s[X.ASSIST]!;
  if (s[X.ATTEMPT_LEFT_MIN]! > 0) s[X.ATTEMPT_LEFT_MIN] = Math.max(s[X.ATTEMPT_LEFT_MIN]! - h, 0);
  const rate = s[X.BREATHS]!;
  const peep = endPressure(s);
  let aim = 0;
  if (rate > 0 && assist > 0) {
    const out = (60 / rate) * (1 - (s[X.INSPIRED_SHARE]! > 0 ? s[X.INSPIRED_SHARE]! : 1 / 3));
    const b = s[X.B]!;
    // Seconds; a smaller chest empties sooner.
    const tau = (0.25 + 2 * b * b) * Math.sqrt(10 / p.usualBreaths);
    const left = exp(-out / tau);
    aim = Math.min((((1000 * assist) / rate / p.lean) * left) / (1 - left), 25);
  } else if (peep === 0 && s[X.TRAPPED] === 0 && s[X.PRESSED] === 0) return;
  s[X.TRAPPED] = s[X.TRAPPED]! + unit(h / 0.25) * (aim - s[X.TRAPPED]!);
  if (s[X.TRAPPED]! < 1e-6) s[X.TRAPPED] = 0;
  const often = rate > 0 && assist > 0 ? unit((rate / p.usualBreaths - 1.5) / 2.5) : 0;
  const pressed = 0.9 * unit((s[X.TRAPPED]! - 1.5) / 7) + 0.008 * peep + 0.3 * often;
  s[X.PRESSED] = Math.min(pressed, 0.92);
}
