/**
 * Age tables. Units in the names; ages in decimal years.
 *
 * Heart and breathing rates: Fleming S et al. Lancet 2011;377:1011-18, doi 10.1016/S0140-6736(10)62226-X (bands as
 * tabulated by secondary sources; the birth row's centiles other than the medians are from memory).
 */

/** One age band of centiles: 1st, 10th, 50th, 90th, 99th. */
export interface CentileBand {
  readonly fromYears: number;
  readonly toYears: number;
  readonly heart: readonly [number, number, number, number, number];
  readonly breathing: readonly [number, number, number, number, number];
}

const M = 1 / 12;

export const CENTILES: readonly CentileBand[] = [
  { fromYears: 0, toYears: 0.02, heart: [90, 107, 127, 148, 164], breathing: [25, 34, 44, 57, 66] },
  { fromYears: 0.02, toYears: 3 * M, heart: [107, 123, 143, 164, 181], breathing: [25, 34, 43, 57, 66] },
  { fromYears: 3 * M, toYears: 6 * M, heart: [104, 120, 140, 159, 175], breathing: [24, 33, 41, 55, 64] },
  { fromYears: 6 * M, toYears: 9 * M, heart: [98, 114, 134, 152, 168], breathing: [23, 31, 39, 52, 61] },
  { fromYears: 9 * M, toYears: 1, heart: [93, 109, 128, 145, 161], breathing: [22, 30, 37, 50, 58] },
  { fromYears: 1, toYears: 1.5, heart: [88, 103, 123, 140, 156], breathing: [21, 28, 35, 46, 53] },
  { fromYears: 1.5, toYears: 2, heart: [82, 98, 116, 135, 149], breathing: [19, 25, 31, 40, 46] },
  { fromYears: 2, toYears: 3, heart: [76, 92, 110, 128, 142], breathing: [18, 22, 28, 34, 38] },
  { fromYears: 3, toYears: 4, heart: [70, 86, 104, 123, 136], breathing: [17, 21, 25, 29, 33] },
  { fromYears: 4, toYears: 6, heart: [65, 81, 98, 117, 131], breathing: [17, 20, 23, 27, 29] },
  { fromYears: 6, toYears: 8, heart: [59, 74, 91, 111, 123], breathing: [16, 18, 21, 24, 27] },
  { fromYears: 8, toYears: 12, heart: [52, 67, 84, 103, 115], breathing: [14, 16, 19, 22, 25] },
  { fromYears: 12, toYears: 15, heart: [47, 62, 78, 96, 108], breathing: [12, 15, 18, 21, 23] },
  { fromYears: 15, toYears: 18, heart: [43, 58, 73, 92, 104], breathing: [11, 13, 16, 19, 22] },
  // Adults: limits of a normal score in NEWS2 (Royal College of Physicians 2017); medians are common practice, no source.
  { fromYears: 18, toYears: 130, heart: [41, 51, 72, 90, 110], breathing: [9, 12, 15, 20, 24] },
];

/** The band an age falls in. */
export function bandFor(ageYears: number): CentileBand {
  for (const band of CENTILES) if (ageYears < band.toYears) return band;
  return CENTILES[CENTILES.length - 1]!;
}

/** Straight line through (x, y) points, flat beyond the ends. */
export function interpolate(points: readonly (readonly [number, number])[], x: number): number {
  const first = points[0]!;
  if (x <= first[0]) return first[1];
  for (let i = 1; i < points.length; i++) {
    const b = points[i]!;
    if (x <= b[0]) {
      const a = points[i - 1]!;
      return a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
    }
  }
  return points[points.length - 1]![1];
}

/**
 * Blood volume, mL/kg. Linderkamp O et al. Eur J Pediatr 1977;125:227-34 (children); adults 65 female, 70 male
 * (textbook). Two columns because the sexes part at 7 years.
 */
export const BLOOD_VOLUME: Readonly<Record<'female' | 'male', readonly (readonly [number, number])[]>> = {
  female: [
    [0, 84],
    [0.375, 77],
    [0.8, 82],
    [1.5, 86],
    [2.5, 80],
    [5, 77],
    [8.5, 73],
    [12.5, 68],
    [16, 66],
    [20, 65],
  ],
  male: [
    [0, 84],
    [0.375, 77],
    [0.8, 82],
    [1.5, 86],
    [2.5, 80],
    [5, 77],
    [8.5, 80],
    [12.5, 74],
    [16, 71],
    [20, 70],
  ],
};

/** Haemoglobin, g/dL, middle of the usual range (textbook ranges, from memory). */
export const HAEMOGLOBIN: Readonly<Record<'female' | 'male', readonly (readonly [number, number])[]>> = {
  female: [
    [0, 17],
    [0.17, 11.2],
    [0.5, 11.8],
    [2, 12.2],
    [6, 12.6],
    [12, 13.2],
    [18, 13.6],
    [70, 13.2],
  ],
  male: [
    [0, 17],
    [0.17, 11.2],
    [0.5, 11.8],
    [2, 12.2],
    [6, 12.6],
    [12, 13.5],
    [18, 15],
    [70, 14.2],
  ],
};

/** P50 of whole blood, mmHg. Oski FA. Pediatrics 1973;51:494 (from memory): about 19.5 at birth, adult by 4-6 months. */
export const P50: readonly (readonly [number, number])[] = [
  [0, 19.5],
  [0.1, 21.5],
  [0.25, 25],
  [0.45, 26.86],
  [1, 27.3],
  [3, 26.86],
];

/**
 * Resting gas volume of the lung under anaesthesia, mL/kg. Fitted so that desaturation times in apnoea match Patel R
 * et al. Can J Anaesth 1994;41:771-4; a fit, not a measurement.
 */
export const FRC_ASLEEP: readonly (readonly [number, number])[] = [
  [0, 15],
  [0.25, 16],
  [3.5, 19],
  [8, 25],
  [14.5, 32],
  [60, 32],
  [90, 30],
];

/** Resting oxygen use, mL/kg/min: textbook ranges (infant 7-8, child 5.5-6.5, adolescent 4.2, adult 3.5). */
export const OXYGEN_USE: readonly (readonly [number, number])[] = [
  [0, 7],
  [0.25, 7.5],
  [1, 7.2],
  [5, 6.5],
  [8, 5.5],
  [14.5, 4.2],
  [20, 3.5],
  [70, 3.2],
  [90, 2.9],
];

/** Adult systolic/diastolic medians by age: common practice, no source. */
export const ADULT_SYSTOLIC: readonly (readonly [number, number])[] = [
  [18, 118],
  [40, 122],
  [60, 132],
  [80, 140],
];
