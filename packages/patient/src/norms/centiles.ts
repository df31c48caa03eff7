/**
 * Where a rate or a pressure lies among well people of that age. Published anchors only; between them the value is placed
 * on the bell curve through its two neighbours (a choice made here: the paper gives the anchors, not the curve).
 */
import { requireNumber } from '../errors.ts';
import { exp } from '../maths/index.ts';
import type { Sex } from '../types.ts';
import { medianSystolic } from './norms.ts';
import { bandFor } from './tables.ts';

export interface RateCentile {
  /** 1 to 99. Beyond the published anchors it stays there and `beyond` says so. */
  readonly centile: number;
  readonly beyond: 'below-1st' | 'above-99th' | null;
  /** "above the 99th centile for age", "about the 63rd centile for age". */
  readonly words: string;
  readonly source: string;
}

const FLEMING = 'Fleming S et al. Lancet 2011;377:1011-18 (1st, 10th, 50th, 90th and 99th centiles).';
/** Standard normal deviates of the five anchors (tables of the normal distribution). */
const DEVIATES = [-2.326348, -1.281552, 0, 1.281552, 2.326348] as const;

/** Share of a standard normal distribution below z; Abramowitz & Stegun 26.2.17, error below 7.5e-8. */
function normalBelow(z: number): number {
  const x = z < 0 ? -z : z;
  const t = 1 / (1 + 0.2316419 * x);
  const series = t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const above = 0.3989422804014327 * exp((-x * x) / 2) * series;
  return z < 0 ? above : 1 - above;
}

/** "1st", "22nd", "93rd". */
function ordinal(n: number): string {
  const last = n % 10;
  const teen = n % 100 >= 11 && n % 100 <= 13;
  return `${n}${teen ? 'th' : last === 1 ? 'st' : last === 2 ? 'nd' : last === 3 ? 'rd' : 'th'}`;
}

/**
 * Centile of a heart or breathing rate, per minute, for an age below 18 years; null from 18 on, where the source ends.
 * Throws PatientError for an age or rate that is no number.
 */
export function rateCentile(kind: 'heart' | 'breathing', ageYears: number, perMin: number): RateCentile | null {
  requireNumber('ageYears', ageYears, 0, 130);
  requireNumber('perMin', perMin, 0, 400);
  if (ageYears >= 18) return null;
  const anchors = bandFor(ageYears)[kind];
  if (perMin < anchors[0]) {
    return { centile: 1, beyond: 'below-1st', words: 'below the 1st centile for age', source: FLEMING };
  }
  if (perMin > anchors[4]) {
    return { centile: 99, beyond: 'above-99th', words: 'above the 99th centile for age', source: FLEMING };
  }
  let i = 0;
  while (i < 3 && perMin > anchors[i + 1]!) i++;
  const [low, high] = [anchors[i]!, anchors[i + 1]!];
  const z = DEVIATES[i]! + ((DEVIATES[i + 1]! - DEVIATES[i]!) * (perMin - low)) / (high - low);
  const centile = normalBelow(z) * 100;
  const words = `about the ${ordinal(Math.round(centile))} centile for age`;
  return { centile, beyond: null, words, source: FLEMING };
}

export interface PressureAnchors {
  readonly systolic5thMmHg: number;
  readonly systolic50thMmHg: number;
  /** Null below 3 years, where the table used begins. */
  readonly systolic95thMmHg: number | null;
  readonly mean5thMmHg: number;
  readonly mean50thMmHg: number;
  readonly source: string;
}

/**
 * 95th centile of systolic pressure at the median height, mmHg, at 3 to 17 years. National High Blood Pressure Education
 * Program, fourth report, Pediatrics 2004;114(2 Suppl):555-76, as tabulated in PMC4991624 table 1A.
 */
const SYSTOLIC_95TH: Readonly<Record<Sex, readonly number[]>> = {
  male: [109, 111, 112, 114, 115, 116, 118, 119, 121, 123, 126, 128, 131, 134, 136],
  female: [107, 108, 110, 111, 113, 115, 117, 119, 121, 123, 124, 126, 127, 128, 129],
};

/**
 * Published pressure centiles at 1 to 17 years, at the median height; null outside that range. 5th centile 2 x age + 65,
 * mean pressure 1.5 x age + 40 (5th) and + 55 (50th): Haque IU, Zaritsky AL. Pediatr Crit Care Med 2007;8:138-44. Median
 * systolic as in `ageNorms`: 90 + 2 x age to 10 years, paediatric life-support teaching (from memory). The sources were not made together, so the mean
 * and systolic anchors do not follow from one another.
 */
export function pressureAnchors(ageYears: number, sex: Sex): PressureAnchors | null {
  requireNumber('ageYears', ageYears, 0, 130);
  if (ageYears < 1 || ageYears >= 18) return null;
  return {
    systolic5thMmHg: 2 * ageYears + 65,
    systolic50thMmHg: medianSystolic(ageYears),
    systolic95thMmHg: ageYears < 3 ? null : SYSTOLIC_95TH[sex][Math.floor(ageYears) - 3]!,
    mean5thMmHg: 1.5 * ageYears + 40,
    mean50thMmHg: 1.5 * ageYears + 55,
    source:
      '5th systolic, mean: Haque IU, Zaritsky AL. Pediatr Crit Care Med 2007;8:138-44. 50th systolic: 90 + 2 x age to 10 years, paediatric life support (from memory). 95th systolic: fourth report, Pediatrics 2004;114:555-76, median height.',
  };
}
