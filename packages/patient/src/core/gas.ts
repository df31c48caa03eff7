/** Oxygen and acid-base equations. Pressures mmHg, contents mL/dL, haemoglobin g/dL, temperature Celsius. */
import { exp, ln } from '../maths/index.ts';
import { CELL, expCell, lnCell } from '../maths/elementary.ts';

const LN10 = 2.302585092994046;
const LOG10_40 = 1.6020599913279625;

/**
 * Saturation (0..1) at 37 C, pH 7.40: Severinghaus JW. J Appl Physiol 1979;46:599-602, doi
 * 10.1152/jappl.1979.46.3.599. Published error at most 0.0055.
 */
export function saturation(po2: number): number {
  if (po2 <= 0) return 0;
  const x = po2 * po2 * po2 + 150 * po2;
  return x / (x + 23400);
}

/** Slope of `saturation`, per mmHg. */
function saturationSlope(po2: number): number {
  const x = po2 * po2 * po2 + 150 * po2;
  const d = x + 23400;
  return (23400 * (3 * po2 * po2 + 150)) / (d * d);
}

/**
 * Factor on PO2 before the standard curve is read: Kelman GR. J Appl Physiol 1966;21:1375-6 (coefficients from
 * memory), with PCO2 entering by itself beside its effect on pH.
 */
export function curveShift(temperature: number, pH: number, pco2: number): number {
  return exp(LN10 * (0.024 * (37 - temperature) + 0.4 * (pH - 7.4) + 0.06 * (LOG10_40 - ln(pco2) / LN10)));
}

/** Oxygen content of blood, 1.34 mL per g bound and 0.0031 mL/dL/mmHg dissolved (Nunn's Applied Respiratory Physiology). */
export function content(po2: number, haemoglobin: number, shift: number): number {
  return 1.34 * haemoglobin * saturation(po2 * shift) + 0.0031 * po2;
}

/** Slope of `content`, mL/dL per mmHg. */
export function contentSlope(po2: number, haemoglobin: number, shift: number): number {
  return 1.34 * haemoglobin * saturationSlope(po2 * shift) * shift + 0.0031;
}

/**
 * PO2 of a content: Newton's method kept inside a shrinking bracket. `guess` only sets the start, so the answer does
 * not depend on it beyond the tolerance (1e-9 relative).
 */
export function po2OfContent(target: number, haemoglobin: number, shift: number, guess: number): number {
  let lo = 0.01;
  let hi = 800;
  let p = guess > lo && guess < hi ? guess : 60;
  for (let i = 0; i < 60; i++) {
    const miss = content(p, haemoglobin, shift) - target;
    if (miss > 0) hi = p;
    else lo = p;
    let next = p - miss / contentSlope(p, haemoglobin, shift);
    if (!(next > lo && next < hi)) next = 0.5 * (lo + hi);
    const step = next > p ? next - p : p - next;
    p = next;
    if (step <= 1e-9 * p) break;
  }
  return p;
}

/**
 * Full alveolar gas equation: Fenn WO, Rahn H, Otis AB. Am J Physiol 1946;146:637 (from memory). Barometric pressure
 * 760, water 47, exchange ratio 0.8.
 */
export function alveolarPo2(fio2: number, pco2: number): number {
  return fio2 * 713 - pco2 * (fio2 + (1 - fio2) / 0.8);
}

/** Henderson-Hasselbalch with pK 6.1 and CO2 solubility 0.0307 mmol/L/mmHg. */
export function bloodPh(bicarbonate: number, pco2: number): number {
  return 6.1 + ln(bicarbonate / (0.0307 * pco2)) / LN10;
}

/** PO2 at 37 C, pH 7.40 of a saturation (0..1), by bisection of the curve itself. */
export function po2OfSaturation(fraction: number): number {
  let lo = 0;
  let hi = 800;
  for (let i = 0; i < 60; i++) {
    const mid = 0.5 * (lo + hi);
    if (saturation(mid) < fraction) lo = mid;
    else hi = mid;
  }
  return 0.5 * (lo + hi);
}

/**
 * Arguments and results of the cell forms below, which the step uses so that no number is boxed on the way (see `CELL`):
 * PO2, haemoglobin, shift, result, temperature, pH, PCO2, bicarbonate, target content.
 */
export const GAS = new Float64Array(9);
export const G_PO2 = 0;
export const G_HB = 1;
export const G_SHIFT = 2;
export const G_OUT = 3;
export const G_TEMP = 4;
export const G_PH = 5;
export const G_PCO2 = 6;
export const G_HCO3 = 7;
export const G_TARGET = 8;

/** `content` of the cells, into G_OUT. */
export function contentCell(): void {
  const po2 = GAS[G_PO2]!;
  const bound = po2 * GAS[G_SHIFT]!;
  const x = bound * bound * bound + 150 * bound;
  const s = bound <= 0 ? 0 : x / (x + 23400);
  GAS[G_OUT] = 1.34 * GAS[G_HB]! * s + 0.0031 * po2;
}

/** `bloodPh` of the cells, into G_PH. */
export function bloodPhCell(): void {
  CELL[0] = GAS[G_HCO3]! / (0.0307 * GAS[G_PCO2]!);
  lnCell();
  GAS[G_PH] = 6.1 + CELL[0]! / LN10;
}

/** `curveShift` of the cells, into G_OUT. */
export function curveShiftCell(): void {
  CELL[0] = GAS[G_PCO2]!;
  lnCell();
  CELL[0] = LN10 * (0.024 * (37 - GAS[G_TEMP]!) + 0.4 * (GAS[G_PH]! - 7.4) + 0.06 * (LOG10_40 - CELL[0]! / LN10));
  expCell();
  GAS[G_OUT] = CELL[0]!;
}

/** `po2OfContent` of G_TARGET with the guess in G_PO2, into G_OUT. */
export function po2OfContentCell(): void {
  const target = GAS[G_TARGET]!;
  const hb = GAS[G_HB]!;
  const shift = GAS[G_SHIFT]!;
  const guess = GAS[G_PO2]!;
  let lo = 0.01;
  let hi = 800;
  let p = guess > lo && guess < hi ? guess : 60;
  for (let i = 0; i < 60; i++) {
    const bound = p * shift;
    const x = bound * bound * bound + 150 * bound;
    const d = x + 23400;
    const s = bound <= 0 ? 0 : x / d;
    const miss = 1.34 * hb * s + 0.0031 * p - target;
    if (miss > 0) hi = p;
    else lo = p;
    const slope = 1.34 * hb * ((23400 * (3 * bound * bound + 150)) / (d * d)) * shift + 0.0031;
    let next = p - miss / slope;
    if (!(next > lo && next < hi)) next = 0.5 * (lo + hi);
    const step = next > p ? next - p : p - next;
    p = next;
    if (step <= 1e-9 * p) break;
  }
  GAS[G_OUT] = p;
}
