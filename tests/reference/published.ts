/** Published values that more than one check uses, each with where it stands and whether that was seen. */

/**
 * Standard human oxygen dissociation curve, PO2 mmHg and saturation %, 37 degrees, pH 7.40. Severinghaus JW. J Appl Physiol
 * 1979;46:599-602, doi 10.1152/jappl.1979.46.3.599, whose equation fits it within 0.55 points (abstract seen). The points at
 * 50 to 100 mmHg in tens as quoted from that paper at quesba.com/questions/...-821185 (seen); the others from memory.
 */
export const DISSOCIATION: readonly (readonly [po2: number, percent: number])[] = [
  [1, 0.6],
  [20, 32.12],
  [26, 48.27],
  [30, 57.54],
  [40, 74.69],
  [46, 81.71],
  [50, 85.08],
  [60, 90.85],
  [65, 92.73],
  [70, 94.06],
  [80, 95.84],
  [90, 96.88],
  [100, 97.49],
  [120, 98.21],
  [150, 98.77],
  [200, 99.2],
  [300, 99.53],
];

/**
 * Saturation % at a PO2, temperature and pH: Kelman GR. J Appl Physiol 1966;21:1375-6 (coefficients from memory), worked by
 * hand with PCO2 40.
 */
export const SHIFTED: readonly (readonly [po2: number, celsius: number, pH: number, percent: number])[] = [
  [60, 37, 7.2, 84.9],
  [60, 37, 7.0, 76.9],
  [60, 34, 7.4, 94.0],
  [40, 37, 7.2, 64.1],
];

/** Oxygen content, mL/dL: 1.34 mL/g and 0.0031 mL/dL/mmHg (Nunn's Applied Respiratory Physiology, from memory), by hand. */
export const CONTENT: readonly (readonly [haemoglobin: number, po2: number, mLPerDl: number])[] = [
  [15, 95, 19.9],
  [12, 95, 15.9],
  [12, 40, 12.2],
  [12, 500, 17.6],
];

/**
 * Alveolar PO2, mmHg. Fenn WO, Rahn H, Otis AB. Am J Physiol 1946;146:637 (full form, R 0.8, 760 mmHg); worked by hand, but
 * for 106.6 mmHg in air at PCO2 36, the sample at primidi.com/alveolar_gas_equation/equation (107, seen).
 */
export const ALVEOLAR: readonly (readonly [fio2: number, pco2: number, po2: number])[] = [
  [0.21, 36, 106.6],
  [0.21, 40, 101.8],
  [0.21, 60, 77.9],
  [0.21, 80, 53.9],
  [0.21, 90, 42.0],
  [0.4, 40, 239],
  [0.6, 40, 384],
  [1, 40, 673],
];

/**
 * pH from bicarbonate, mmol/L, and PCO2, mmHg. Henderson-Hasselbalch, pK 6.1, solubility 0.0307; the acute bicarbonates
 * follow + 1 mmol/L per 10 mmHg (textbook worked values). 12 and 24 give 7.32 with 0.030 at
 * stethoprep.com/mcq/biochemistry-acid-base-fluid-and-electrolyte-biochemistry-036 (seen).
 */
export const ACID_BASE: readonly (readonly [bicarbonate: number, pco2: number, pH: number])[] = [
  [24, 40, 7.39],
  [28, 80, 7.16],
  [26, 60, 7.25],
  [22.5, 30, 7.49],
  [12, 24, 7.313],
];

/**
 * Heart and breathing rate per minute by age: 1st, 10th, 50th, 90th and 99th centile. Fleming S et al. Lancet
 * 2011;377:1011-18, doi 10.1016/S0140-6736(10)62226-X; bands as typed into public research tables (seen), the paper's own
 * table not opened. The row of birth stands apart in norms.test.ts: only its medians were seen.
 */
export const RATES_BY_AGE: readonly (readonly [age: number, heart: readonly number[], breathing: readonly number[]])[] =
  [
    [0.1, [107, 123, 143, 164, 181], [25, 34, 43, 57, 66]],
    [0.4, [104, 120, 140, 159, 175], [24, 33, 41, 55, 64]],
    [0.6, [98, 114, 134, 152, 168], [23, 31, 39, 52, 61]],
    [0.8, [93, 109, 128, 145, 161], [22, 30, 37, 50, 58]],
    [1.2, [88, 103, 123, 140, 156], [21, 28, 35, 46, 53]],
    [1.7, [82, 98, 116, 135, 149], [19, 25, 31, 40, 46]],
    [2.5, [76, 92, 110, 128, 142], [18, 22, 28, 34, 38]],
    [3.5, [70, 86, 104, 123, 136], [17, 21, 25, 29, 33]],
    [5, [65, 81, 98, 117, 131], [17, 20, 23, 27, 29]],
    [7, [59, 74, 91, 111, 123], [16, 18, 21, 24, 27]],
    [10, [52, 67, 84, 103, 115], [14, 16, 19, 22, 25]],
    [13, [47, 62, 78, 96, 108], [12, 15, 18, 21, 23]],
    [17, [43, 58, 73, 92, 104], [11, 13, 16, 19, 22]],
  ];

/**
 * Lowest systolic pressure that is not low, mmHg: 60 in the first month, 70 to one year, 70 + 2 x age to ten, 90 after
 * (paediatric advanced life support; 1-10 y seen at journalfeed.org, infants from memory).
 */
export const LOW_SYSTOLIC: readonly (readonly [age: number, mmHg: number])[] = [
  [0.02, 60],
  [0.5, 70],
  [1, 72],
  [5, 80],
  [9, 88],
  [10, 90],
  [15, 90],
  [40, 90],
];

/**
 * Mean pressure, mmHg, 5th and 50th centile, and 5th centile of systolic, at an age: 1.5 x age + 40, 1.5 x age + 55,
 * 2 x age + 65. Haque IU, Zaritsky AL. Pediatr Crit Care Med 2007;8:138-44 (seen, vi.scribd.com/document/371481437).
 */
export const HAQUE: readonly (readonly [age: number, mean5: number, mean50: number, systolic5: number])[] = [
  [1, 41.5, 56.5, 67],
  [5, 47.5, 62.5, 75],
  [10, 55, 70, 85],
  [17, 65.5, 80.5, 99],
];

/**
 * Seconds from stopping breathing to 90 % after pre-oxygenation, mean and SD. Patel R, Lenczyk M, Hannallah RS, McGill WA.
 * Can J Anaesth 1994;41:771-4: first, third and fifth group as in the abstract (seen); second and fourth from memory.
 */
export const APNOEA_TO_90: readonly (readonly [
  group: string,
  ageYears: number,
  weightKg: number,
  meanS: number,
  sdS: number,
])[] = [
  ['0-6 months', 0.25, 6, 96.5, 12.7],
  ['7-23 months (from memory)', 1.25, 10, 118.5, 9.0],
  ['2-5 years', 3.5, 15.5, 160.4, 30.7],
  ['6-10 years (from memory)', 8, 26, 215.9, 34.9],
  ['11-18 years', 14.5, 52, 382.4, 79.9],
];

/**
 * Adrenaline into thigh muscle: minutes to the highest plasma level, mean and SD (published SEM x root n). Children 4-12 y,
 * 0.3 mg, n = 8: Simons FER et al. J Allergy Clin Immunol 1998;101:33-7, doi 10.1016/S0091-6749(98)70190-3, 8 ± 2 (seen).
 * Men, 26 y, 77 kg, 0.3 mg into the lateral thigh, n = 8, first dose: 10 ± 1.6 and 16.9 ± 2.8 on the two study days (abstract
 * "Intramuscular (IM) injection of epinephrine in adults: what is the optimal interval between doses?", seen at
 * discovery.researcher.life). Adults in other studies show a second peak at 30-50 min (Dreborg S, Kim H. Allergy Asthma Clin
 * Immunol 2021;17:25, seen), which one depot pair can not show.
 */
export const TIME_TO_PEAK: readonly (readonly [
  who: string,
  ageYears: number,
  weightKg: number,
  micrograms: number,
  meanMin: number,
  sdMin: number,
])[] = [
  ['children of 4 to 12 years', 8, 26, 300, 8, 2 * Math.sqrt(8)],
  ['adults, first day', 26, 77, 300, 10, 1.6 * Math.sqrt(8)],
  ['adults, second day', 26, 77, 300, 16.9, 2.8 * Math.sqrt(8)],
];
