/** Bedside scores against their published tables: worked examples, and every boundary of every row. */
import { describe, expect, it } from 'vitest';
import {
  consciousnessWords,
  news2,
  pews,
  pram,
  pressureAnchors,
  rateCentile,
  scoresOf,
  shockIndex,
  westley,
  WESTLEY_BAND_SETS,
  type News2Observations,
  type PewsObservations,
  type PramObservations,
  type Refused,
  type Scored,
  type ScoreOutcome,
  type SignId,
  type TrueVitals,
  type WestleyObservations,
} from '@breathline/patient';

const scored = (outcome: ScoreOutcome): Scored => {
  if (!outcome.ok) throw new Error(`refused: ${outcome.because}`);
  return outcome;
};
const refused = (outcome: ScoreOutcome): Refused => {
  if (outcome.ok) throw new Error(`scored ${outcome.total}`);
  return outcome;
};
const points = (outcome: ScoreOutcome, id: string): number => {
  const found = scored(outcome).items.find((each) => each.id === id);
  if (found === undefined) throw new Error(`no item ${id}`);
  return found.points;
};

// ---------------------------------------------------------------- NEWS2
// National Early Warning Score (NEWS) 2, (c) Royal College of Physicians, London 2017, chart 1, as reproduced at
// scribd.com/document/584338409; scale 2 also at thorax.bmj.com (table 1, NEWS2 with scale 1 and 2).
describe('NEWS2', () => {
  const WELL: News2Observations = {
    ageYears: 50,
    respiratoryRatePerMin: 16,
    spo2Percent: 98,
    onOxygen: false,
    systolicMmHg: 120,
    pulsePerMin: 70,
    consciousness: 'alert',
    temperatureCelsius: 37,
  };
  const of = (rest: Partial<News2Observations>) => news2({ ...WELL, ...rest });

  it.each<[string, Partial<News2Observations>, readonly number[], number, string]>([
    ['well', {}, [0, 0, 0, 0, 0, 0, 0], 0, 'low'],
    [
      'shocked, in air',
      { respiratoryRatePerMin: 26, spo2Percent: 90, systolicMmHg: 85, pulsePerMin: 128, temperatureCelsius: 36.8 },
      [3, 3, 0, 3, 2, 0, 0],
      11,
      'high',
    ],
    [
      'shocked, on oxygen, newly confused',
      {
        respiratoryRatePerMin: 28,
        spo2Percent: 93,
        onOxygen: true,
        systolicMmHg: 82,
        pulsePerMin: 135,
        consciousness: 'confused',
        temperatureCelsius: 36.5,
      },
      [3, 2, 2, 3, 3, 3, 0],
      16,
      'high',
    ],
    [
      'scale 2, too much oxygen',
      {
        respiratoryRatePerMin: 22,
        spo2Percent: 95,
        spo2Scale: 2,
        onOxygen: true,
        systolicMmHg: 128,
        pulsePerMin: 96,
        temperatureCelsius: 38.4,
      },
      [2, 2, 2, 0, 1, 0, 1],
      8,
      'high',
    ],
  ])('worked example: %s', (_, rest, each, total, band) => {
    const out = scored(of(rest));
    expect(out.items.map((one) => one.points)).toEqual(each);
    expect(out.total).toBe(total);
    expect(out.band).toBe(band);
  });

  // prettier-ignore

  it.each<[string, keyof News2Observations, readonly (readonly [number, number])[]]>([
    [
      'respiratory-rate',
      'respiratoryRatePerMin',
      [[8, 3], [9, 1], [11, 1], [12, 0], [20, 0], [21, 2], [24, 2], [25, 3]],
    ],
    [
      'spo2',
      'spo2Percent',
      [[91, 3], [92, 2], [93, 2], [94, 1], [95, 1], [96, 0], [100, 0]],
    ],
    [
      'systolic',
      'systolicMmHg',
      [[90, 3], [91, 2], [100, 2], [101, 1], [110, 1], [111, 0], [219, 0], [220, 3]],
    ],
    [
      'pulse',
      'pulsePerMin',
      [[40, 3], [41, 1], [50, 1], [51, 0], [90, 0], [91, 1], [110, 1], [111, 2], [130, 2], [131, 3]],
    ],
    [
      'temperature',
      'temperatureCelsius',
      [[35, 3], [35.1, 1], [36, 1], [36.1, 0], [38, 0], [38.1, 1], [39, 1], [39.1, 2]],
    ],
  ])('table boundaries: %s', (id, key, rows) => {
    for (const [value, expected] of rows) expect([value, points(of({ [key]: value }), id)]).toEqual([value, expected]);
  });

  // prettier-ignore

  it.each<[boolean, readonly (readonly [number, number])[]]>([
    [
      false,
      [[83, 3], [84, 2], [85, 2], [86, 1], [87, 1], [88, 0], [92, 0], [93, 0], [100, 0]],
    ],
    [
      true,
      [[83, 3], [84, 2], [85, 2], [86, 1], [87, 1], [88, 0], [92, 0], [93, 1], [94, 1], [95, 2], [96, 2], [97, 3]],
    ],
  ])('scale 2 boundaries, on oxygen %s', (onOxygen, rows) => {
    for (const [spo2Percent, expected] of rows) {
      expect([spo2Percent, points(of({ spo2Percent, onOxygen, spo2Scale: 2 }), 'spo2')]).toEqual([
        spo2Percent,
        expected,
      ]);
    }
  });

  it('oxygen gives 2, anything but alert gives 3', () => {
    expect(points(of({ onOxygen: true }), 'oxygen')).toBe(2);
    for (const level of ['confused', 'voice', 'pain', 'unresponsive'] as const) {
      expect(points(of({ consciousness: level }), 'consciousness')).toBe(3);
    }
  });

  // Bands: 0-4 low, a single 3 low-medium, 5-6 medium, 7 or more high (RCP 2017; rcpjournals.org, cut points).
  it('bands', () => {
    expect(scored(of({ respiratoryRatePerMin: 21, pulsePerMin: 111 })).band).toBe('low'); // 4
    expect(scored(of({ consciousness: 'confused' })).band).toBe('low-medium'); // 3
    expect(scored(of({ onOxygen: true, consciousness: 'confused' })).band).toBe('medium'); // 5
    expect(scored(of({ onOxygen: true, consciousness: 'confused', pulsePerMin: 91 })).band).toBe('medium'); // 6
    expect(scored(of({ onOxygen: true, consciousness: 'confused', pulsePerMin: 111 })).band).toBe('high'); // 7
  });

  it('the worst of everything is 20', () => {
    const worst = of({
      respiratoryRatePerMin: 40,
      spo2Percent: 70,
      onOxygen: true,
      systolicMmHg: 60,
      pulsePerMin: 160,
      consciousness: 'unresponsive',
      temperatureCelsius: 34,
    });
    expect(scored(worst).total).toBe(20);
  });

  it('is refused below 16 years, in pregnancy, and for what is missing or nonsense', () => {
    expect(refused(of({ ageYears: 15.9 })).code).toBe('age');
    expect(scored(of({ ageYears: 16 })).total).toBe(0);
    expect(refused(of({ pregnant: true })).code).toBe('not-applicable');
    const missing = refused(of({ temperatureCelsius: undefined as never }));
    expect(missing).toMatchObject({ code: 'missing', because: 'temperature was not observed' });
    expect(missing.mend).toContain('temperatureCelsius');
    for (const bad of [NaN, -1, 101, Infinity, '97' as never])
      expect(refused(of({ spo2Percent: bad })).code).toBe('bad-value');
    expect(refused(of({ consciousness: 'sleepy' as never })).because).toContain('sleepy');
    expect(refused(of({ spo2Scale: 3 as never })).code).toBe('bad-value');
  });

  it('values are rounded as charted, not cut', () => {
    expect(points(of({ spo2Percent: 95.6 }), 'spo2')).toBe(0);
    expect(points(of({ temperatureCelsius: 38.04 }), 'temperature')).toBe(0);
    expect(points(of({ respiratoryRatePerMin: 24.5 }), 'respiratory-rate')).toBe(3);
  });
});

// ---------------------------------------------------------------- PEWS, England
// National configuration document as tabulated in github.com/rcpch/digital-pews, spec/npews-scoring-tables.generated.md
// (recorded there as checked against the live charts 2026-06-30). Rows below: [value, points] at every boundary.
describe('national PEWS, England', () => {
  const WELL: PewsObservations = {
    ageYears: 14,
    respiratoryRatePerMin: 16,
    distress: 'none',
    spo2Percent: 98,
    oxygen: { by: 'air' },
    heartRatePerMin: 80,
    systolicMmHg: 112,
    capillaryRefillS: 1,
  };
  const of = (rest: Partial<PewsObservations>) => pews({ ...WELL, ...rest });

  it.each<[string, Partial<PewsObservations>, readonly number[], number, string]>([
    [
      '2 years, moderate distress',
      {
        ageYears: 2,
        respiratoryRatePerMin: 52,
        distress: 'moderate',
        spo2Percent: 93,
        heartRatePerMin: 156,
        systolicMmHg: 98,
        capillaryRefillS: 2,
      },
      [2, 2, 1, 0, 2, 0, 0],
      7,
      'medium',
    ],
    [
      '8 years, anaphylaxis',
      {
        ageYears: 8,
        respiratoryRatePerMin: 34,
        distress: 'severe',
        spo2Percent: 90,
        oxygen: { by: 'flow', flowLPerMin: 10 },
        heartRatePerMin: 148,
        systolicMmHg: 78,
        capillaryRefillS: 4,
      },
      [1, 4, 4, 4, 2, 2, 2],
      19,
      'emergency',
    ],
    ['14 years, well', {}, [0, 0, 0, 0, 0, 0, 0], 0, 'none'],
  ])('worked example: %s', (_, rest, each, total, band) => {
    const out = scored(of(rest));
    expect(out.items.map((one) => one.points)).toEqual(each);
    expect(out.total).toBe(total);
    expect(out.band).toBe(band);
  });

  type Rows = readonly (readonly [number, number])[];
  // prettier-ignore
  it.each<[string, number, Rows, Rows, Rows]>([
    [
      '0 to 11 months',
      0.9,
      [[9, 4], [10, 2], [19, 2], [20, 1], [29, 1], [30, 0], [49, 0], [50, 1], [59, 1], [60, 2], [69, 2], [70, 4]],
      [[79, 4], [80, 2], [89, 2], [90, 1], [109, 1], [110, 0], [149, 0], [150, 1], [169, 1], [170, 2], [179, 2], [180, 4]],
      [[49, 4], [50, 2], [59, 2], [60, 1], [69, 1], [70, 0], [89, 0], [90, 1], [99, 1], [100, 2], [109, 2], [110, 4]],
    ],
    [
      '1 to 4 years',
      1,
      [[9, 4], [10, 2], [19, 2], [20, 0], [39, 0], [40, 1], [49, 1], [50, 2], [59, 2], [60, 4]],
      [[59, 4], [60, 2], [69, 2], [70, 1], [89, 1], [90, 0], [139, 0], [140, 1], [149, 1], [150, 2], [169, 2], [170, 4]],
      [[49, 4], [50, 2], [59, 2], [60, 1], [79, 1], [80, 0], [99, 0], [100, 1], [119, 1], [120, 2], [129, 2], [130, 4]],
    ],
    [
      '5 to 12 years',
      12.9,
      [[9, 4], [10, 2], [14, 2], [15, 1], [19, 1], [20, 0], [24, 0], [25, 1], [39, 1], [40, 2], [49, 2], [50, 4]],
      [[59, 4], [60, 2], [69, 2], [70, 1], [79, 1], [80, 0], [119, 0], [120, 1], [139, 1], [140, 2], [159, 2], [160, 4]],
      [[69, 4], [70, 2], [79, 2], [80, 1], [89, 1], [90, 0], [109, 0], [110, 1], [119, 1], [120, 2], [129, 2], [130, 4]],
    ],
    [
      '13 years and over',
      13,
      [[9, 4], [10, 1], [14, 1], [15, 0], [24, 0], [25, 1], [29, 1], [30, 2], [39, 2], [40, 4]],
      [[49, 4], [50, 2], [59, 2], [60, 1], [69, 1], [70, 0], [99, 0], [100, 1], [119, 1], [120, 2], [129, 2], [130, 4]],
      [[79, 4], [80, 2], [89, 2], [90, 1], [99, 1], [100, 0], [119, 0], [120, 1], [129, 1], [130, 2], [139, 2], [140, 4]],
    ],
  ])('table boundaries: %s', (name, ageYears, rates, hearts, systolics) => {
    expect(scored(of({ ageYears })).variant).toContain(name);
    for (const [value, expected] of rates) {
      expect(['rate', value, points(of({ ageYears, respiratoryRatePerMin: value }), 'respiratory-rate')]).toEqual([
        'rate',
        value,
        expected,
      ]);
    }
    for (const [value, expected] of hearts) {
      expect(['heart', value, points(of({ ageYears, heartRatePerMin: value }), 'heart-rate')]).toEqual([
        'heart',
        value,
        expected,
      ]);
    }
    for (const [value, expected] of systolics) {
      expect(['systolic', value, points(of({ ageYears, systolicMmHg: value }), 'systolic')]).toEqual([
        'systolic',
        value,
        expected,
      ]);
    }
  });

  it('the chart changes on the birthday', () => {
    const chart = (ageYears: number) => scored(of({ ageYears })).variant!.replace(/, for .*/, '');
    expect([0, 0.99, 1, 4.99, 5, 12.99, 13, 17.99].map(chart)).toEqual([
      'chart 0 to 11 months',
      'chart 0 to 11 months',
      'chart 1 to 4 years',
      'chart 1 to 4 years',
      'chart 5 to 12 years',
      'chart 5 to 12 years',
      'chart 13 years and over',
      'chart 13 years and over',
    ]);
  });

  it('saturation, refill and distress', () => {
    // prettier-ignore
    for (const [value, expected] of [[91, 4], [92, 1], [94, 1], [95, 0]] as const) {
      expect(points(of({ spo2Percent: value }), 'spo2')).toBe(expected);
    }
    // prettier-ignore
    for (const [value, expected] of [[2, 0], [2.9, 0], [3, 2], [5, 2]] as const) {
      expect(points(of({ capillaryRefillS: value }), 'capillary-refill')).toBe(expected);
    }
    expect(scored(of({ capillaryRefillS: 2.5 })).notes.join()).toContain('no score on the chart');
    // prettier-ignore
    for (const [value, expected] of [
      ['none', 0],
      ['mild', 1],
      ['moderate', 2],
      ['severe', 4],
    ] as const) {
      expect(points(of({ distress: value }), 'distress')).toBe(expected);
    }
  });

  it('oxygen by fraction, by flow, and by support', () => {
    // prettier-ignore
    for (const [fio2Percent, expected] of [[21, 0], [22, 1], [29, 1], [30, 2], [49, 2], [50, 4], [100, 4]] as const) {
      expect(points(of({ oxygen: { by: 'fraction', fio2Percent } }), 'oxygen')).toBe(expected);
    }
    // prettier-ignore
    for (const [flowLPerMin, expected] of [[0, 0], [0.1, 1], [1.9, 1], [2, 2], [5.9, 2], [6, 4], [15, 4]] as const) {
      expect(points(of({ oxygen: { by: 'flow', flowLPerMin } }), 'oxygen')).toBe(expected);
    }
    for (const by of ['high-flow', 'cpap', 'bilevel'] as const)
      expect(points(of({ oxygen: { by } }), 'oxygen')).toBe(4);
  });

  it('bands at their edges: 4 low, 5 medium, 8 medium, 9 high, 12 high, 13 emergency', () => {
    const edge = (rest: Partial<PewsObservations>): [number, string] => {
      const out = scored(of(rest));
      return [out.total, out.band];
    };
    const severe = { distress: 'severe' } as const;
    expect(edge(severe)).toEqual([4, 'low']);
    expect(edge({ ...severe, spo2Percent: 93 })).toEqual([5, 'medium']);
    expect(edge({ ...severe, spo2Percent: 90 })).toEqual([8, 'medium']);
    expect(edge({ ...severe, spo2Percent: 90, heartRatePerMin: 105 })).toEqual([9, 'high']);
    expect(edge({ ...severe, spo2Percent: 90, heartRatePerMin: 140 })).toEqual([12, 'high']);
    expect(edge({ ...severe, spo2Percent: 90, heartRatePerMin: 140, systolicMmHg: 95 })).toEqual([13, 'emergency']);
  });

  it('temperature and AVPU do not score; they are said', () => {
    const hot = scored(of({ temperatureCelsius: 39.5, consciousness: 'voice' }));
    expect(hot.total).toBe(0);
    expect(hot.notes.join(' ')).toMatch(/voice.*high.*sepsis/i);
    expect(scored(of({ consciousness: 'pain' })).notes.join(' ')).toMatch(/emergency/);
  });

  it('is refused from 18 years and for what is missing', () => {
    expect(refused(of({ ageYears: 18 })).code).toBe('age');
    expect(refused(of({ oxygen: undefined as never })).code).toBe('missing');
    expect(refused(of({ oxygen: { by: 'fraction', fio2Percent: 0.4 } })).code).toBe('bad-value');
    expect(refused(of({ oxygen: { by: 'hope' } as never })).because).toContain('hope');
    expect(refused(of({ systolicMmHg: undefined as never })).because).toContain('systolic');
  });
});

// ---------------------------------------------------------------- PRAM
// Ducharme FM et al. J Pediatr 2008;152:476-80; table 4 of PMC4614088.
describe('PRAM', () => {
  const WELL: PramObservations = {
    ageYears: 6,
    spo2Percent: 97,
    onOxygen: false,
    suprasternalRetraction: false,
    scaleneContraction: false,
    airEntry: 'normal',
    wheeze: 'none',
  };
  const of = (rest: Partial<PramObservations>) => pram({ ...WELL, ...rest });
  it('worked examples', () => {
    expect(scored(of({ spo2Percent: 96, wheeze: 'expiratory' }))).toMatchObject({ total: 1, band: 'mild' });
    const moderate = of({
      spo2Percent: 93,
      suprasternalRetraction: true,
      airEntry: 'reduced-at-base',
      wheeze: 'inspiratory',
    });
    expect(scored(moderate).items.map((each) => each.points)).toEqual([1, 2, 0, 1, 2]);
    expect(scored(moderate)).toMatchObject({ total: 6, band: 'moderate' });
  });
  it('table rows and band edges', () => {
    // prettier-ignore
    for (const [value, expected] of [[91, 2], [92, 1], [94, 1], [95, 0]] as const) {
      expect(points(of({ spo2Percent: value }), 'spo2')).toBe(expected);
    }
    const entry = ['normal', 'reduced-at-base', 'reduced-at-apex-and-base', 'minimal-or-absent'] as const;
    expect(entry.map((airEntry) => points(of({ airEntry }), 'air-entry'))).toEqual([0, 1, 2, 3]);
    const wheezes = ['none', 'expiratory', 'inspiratory', 'audible-or-silent-chest'] as const;
    expect(wheezes.map((wheeze) => points(of({ wheeze }), 'wheeze'))).toEqual([0, 1, 2, 3]);
    const three = { airEntry: 'minimal-or-absent' } as const;
    expect(scored(of(three))).toMatchObject({ total: 3, band: 'mild' });
    expect(scored(of({ ...three, wheeze: 'expiratory' }))).toMatchObject({ total: 4, band: 'moderate' });
    expect(scored(of({ ...three, scaleneContraction: true, wheeze: 'inspiratory' }))).toMatchObject({
      total: 7,
      band: 'moderate',
    });
    const eight = { ...three, scaleneContraction: true, wheeze: 'audible-or-silent-chest' } as const;
    expect(scored(of(eight))).toMatchObject({ total: 8, band: 'severe' });
    expect(scored(of({ ...eight, suprasternalRetraction: true, spo2Percent: 88 })).total).toBe(12);
  });
  it('is refused outside 2 to 17 years and on oxygen', () => {
    expect(refused(of({ ageYears: 1.9 })).code).toBe('age');
    expect(refused(of({ ageYears: 18 })).code).toBe('age');
    expect(refused(of({ onOxygen: true })).code).toBe('not-applicable');
    expect(refused(of({ wheeze: undefined as never })).code).toBe('missing');
  });
});

// ---------------------------------------------------------------- Westley
// Westley CR, Cotton EK, Brooks JG. Am J Dis Child 1978;132:484-7; items as in doi:10.1186/s13052-017-0348-x, table 12.
// Bands: three published sets (tertiary review; the same Ital J Pediatr paper; a point-of-care reference of the BMJ group).
describe('Westley croup score', () => {
  const WELL: WestleyObservations = {
    stridor: 'none',
    retractions: 'none',
    airEntry: 'normal',
    cyanosis: 'none',
    consciousness: 'normal',
  };
  const of = (rest: Partial<WestleyObservations>) => westley({ ...WELL, ...rest });
  it('worked examples', () => {
    expect(scored(of({ stridor: 'agitated', retractions: 'mild' }))).toMatchObject({ total: 2, band: 'mild' });
    const moderate = of({ stridor: 'at-rest', retractions: 'moderate', airEntry: 'decreased' });
    expect(scored(moderate)).toMatchObject({ total: 5, band: 'moderate', variant: 'severe-from-6' });
  });
  it('every word of every item', () => {
    expect((['none', 'agitated', 'at-rest'] as const).map((stridor) => scored(of({ stridor })).total)).toEqual([
      0, 1, 2,
    ]);
    const retractions = ['none', 'mild', 'moderate', 'severe'] as const;
    expect(retractions.map((each) => scored(of({ retractions: each })).total)).toEqual([0, 1, 2, 3]);
    const entry = ['normal', 'decreased', 'markedly-decreased'] as const;
    expect(entry.map((airEntry) => scored(of({ airEntry })).total)).toEqual([0, 1, 2]);
    expect((['none', 'agitated', 'at-rest'] as const).map((cyanosis) => scored(of({ cyanosis })).total)).toEqual([
      0, 4, 5,
    ]);
    expect(scored(of({ consciousness: 'altered' })).total).toBe(5);
  });
  it('the worst of everything is 17', () => {
    const worst = of({
      stridor: 'at-rest',
      retractions: 'severe',
      airEntry: 'markedly-decreased',
      cyanosis: 'at-rest',
      consciousness: 'altered',
    });
    expect(scored(worst)).toMatchObject({ total: 17, band: 'impending-failure' });
  });
  const totals: Readonly<Record<number, WestleyObservations>> = {
    1: { ...WELL, stridor: 'agitated' },
    2: { ...WELL, stridor: 'at-rest' },
    3: { ...WELL, retractions: 'severe' },
    4: { ...WELL, cyanosis: 'agitated' },
    5: { ...WELL, cyanosis: 'at-rest' },
    6: { ...WELL, cyanosis: 'at-rest', stridor: 'agitated' },
    7: { ...WELL, cyanosis: 'at-rest', stridor: 'at-rest' },
    8: { ...WELL, cyanosis: 'at-rest', retractions: 'severe' },
    11: { ...WELL, cyanosis: 'at-rest', consciousness: 'altered', stridor: 'agitated' },
    12: { ...WELL, cyanosis: 'at-rest', consciousness: 'altered', stridor: 'at-rest' },
  };
  it.each([
    ['severe-from-8', { 2: 'mild', 3: 'moderate', 7: 'moderate', 8: 'severe', 11: 'severe', 12: 'impending-failure' }],
    ['severe-from-6', { 2: 'mild', 3: 'moderate', 5: 'moderate', 6: 'severe', 11: 'severe', 12: 'impending-failure' }],
    ['severe-from-5', { 1: 'mild', 2: 'moderate', 4: 'moderate', 5: 'severe', 12: 'severe' }],
  ] as const)('bands %s', (set, edges) => {
    for (const [total, band] of Object.entries(edges)) {
      const out = scored(westley(totals[Number(total)]!, set));
      expect([out.total, out.band, out.variant]).toEqual([Number(total), band, set]);
    }
  });
  it('an unknown set of bands is refused with the known ones', () => {
    const out = refused(westley(WELL, 'constructor' as never));
    for (const known of Object.keys(WESTLEY_BAND_SETS)) expect(out.mend).toContain(known);
    expect(refused(of({ cyanosis: 'blue' as never })).code).toBe('bad-value');
  });
});

// ---------------------------------------------------------------- shock index
// Acker SN et al. J Pediatr Surg 2015;50:331-4 (cut-offs as quoted at epag.springeropen.com/articles/10.1186/s43054-022-00103-4);
// 1 to 6 years above 1.2 in Huang KC et al. Front Pediatr 2021;9:727466. Adults: common teaching, 0.9 and over is high.
describe('shock index', () => {
  const of = (ageYears: number, heartRatePerMin: number, systolicMmHg: number) =>
    scored(shockIndex({ ageYears, heartRatePerMin, systolicMmHg }));
  it.each([
    ['adult', 40, 128, 85, 1.51, 'high'],
    ['5 years, not above', 5, 110, 90, 1.22, 'not-high'],
    ['9 years', 9, 150, 75, 2, 'high'],
    ['adult, usual', 40, 70, 120, 0.58, 'usual'],
  ] as const)('worked example: %s', (_, age, heart, systolic, ratio, band) => {
    expect(of(age, heart, systolic)).toMatchObject({ total: ratio, band });
  });
  it('cut-offs at their edges', () => {
    expect(of(2, 120, 100).band).toBe('not-high');
    expect(of(2, 121, 100).band).toBe('high');
    expect(of(6.9, 122, 100).band).toBe('not-high');
    expect(of(6.9, 123, 100).band).toBe('high');
    expect(of(7, 100, 100).band).toBe('not-high');
    expect(of(12.9, 101, 100).band).toBe('high');
    expect(of(13, 90, 100).band).toBe('not-high');
    expect(of(16.9, 91, 100).band).toBe('high');
    expect(of(17, 89, 100).band).toBe('raised');
    expect(of(17, 90, 100).band).toBe('high');
    expect(of(30, 70, 100).band).toBe('usual');
  });
  it('is refused in infants and without a pressure', () => {
    expect(refused(shockIndex({ ageYears: 0.5, heartRatePerMin: 150, systolicMmHg: 80 })).code).toBe('age');
    expect(refused(shockIndex({ ageYears: 30, heartRatePerMin: 100, systolicMmHg: 0 })).code).toBe('not-applicable');
  });
  it('says each time that calm is not safe', () => expect(of(30, 70, 120).notes.join()).toContain('Never wait'));
});

// ---------------------------------------------------------------- AVPU and Glasgow totals
// Nuttall AGL et al. BMJ Open 2018;8:e023216: below 5 y A 15, V 14, P 8, U 3; from 5 y A 15, V 13, P 11, U 3.
// McNarry AF, Goldhill DR. Anaesthesia 2004;59:34-7: adults 15, 13, 8, 6.
it('AVPU beside the Glasgow medians of the studies', () => {
  const medians = (age: number) =>
    (['alert', 'voice', 'pain', 'unresponsive'] as const).map((level) => consciousnessWords(level, age).medianGcs);
  expect(medians(3)).toEqual([15, 14, 8, 3]);
  expect(medians(8)).toEqual([15, 13, 11, 3]);
  expect(medians(50)).toEqual([15, 13, 8, 6]);
  expect(consciousnessWords('confused', 50).medianGcs).toBeNull();
  // Pediatrics Open Science 2025;1(1): 14-15 alert, 11-13 voice, 7-10 pain, 3-6 unresponsive.
  expect(consciousnessWords('pain', 3).usualGcs).toEqual([7, 10]);
});

// ---------------------------------------------------------------- centiles
describe('centiles for age', () => {
  // Fleming S et al. Lancet 2011;377:1011-18: the anchors come back as themselves.
  it.each([
    ['heart', 0.1, [107, 123, 143, 164, 181]],
    ['heart', 5, [65, 81, 98, 117, 131]],
    ['heart', 17, [43, 58, 73, 92, 104]],
    ['breathing', 2.5, [18, 22, 28, 34, 38]],
    ['breathing', 10, [14, 16, 19, 22, 25]],
  ] as const)('%s rate at %d years', (kind, age, anchors) => {
    [1, 10, 50, 90, 99].forEach((centile, i) => {
      expect(rateCentile(kind, age, anchors[i]!)!.centile).toBeCloseTo(centile, 3);
    });
    expect(rateCentile(kind, age, anchors[0] - 1)).toMatchObject({ centile: 1, beyond: 'below-1st' });
    expect(rateCentile(kind, age, anchors[4] + 1)).toMatchObject({ centile: 99, beyond: 'above-99th' });
    let last = 0;
    for (let rate = anchors[0]; rate <= anchors[4]; rate++) {
      const { centile } = rateCentile(kind, age, rate)!;
      expect(centile).toBeGreaterThan(last);
      last = centile;
    }
  });
  it('words, and null from 18 years', () => {
    expect(rateCentile('heart', 5, 117)!.words).toBe('about the 90th centile for age');
    expect(rateCentile('heart', 5, 150)!.words).toBe('above the 99th centile for age');
    expect(rateCentile('heart', 18, 80)).toBeNull();
    expect(() => rateCentile('heart', -1, 80)).toThrow(/ageYears/);
  });
  // Worked: age 5, 5th systolic 75, median 100, mean 62.5 (Haque & Zaritsky 2007; 90 + 2 x age). 95th at median height:
  // boys 5 y 112, girls 5 y 110, boys 17 y 136, girls 17 y 129 (fourth report 2004, PMC4991624 table 1A).
  it('pressure anchors', () => {
    expect(pressureAnchors(5, 'male')).toMatchObject({
      systolic5thMmHg: 75,
      systolic50thMmHg: 100,
      systolic95thMmHg: 112,
      mean5thMmHg: 47.5,
      mean50thMmHg: 62.5,
    });
    expect(pressureAnchors(5.9, 'female')!.systolic95thMmHg).toBe(110);
    expect(pressureAnchors(17.9, 'male')!.systolic95thMmHg).toBe(136);
    expect(pressureAnchors(17, 'female')!.systolic95thMmHg).toBe(129);
    expect(pressureAnchors(2, 'male')!.systolic95thMmHg).toBeNull();
    expect(pressureAnchors(0.5, 'male')).toBeNull();
    expect(pressureAnchors(18, 'male')).toBeNull();
    for (let age = 3; age < 18; age++) {
      for (const sex of ['male', 'female'] as const) {
        const a = pressureAnchors(age, sex)!;
        expect(a.systolic5thMmHg).toBeLessThan(a.systolic50thMmHg);
        expect(a.systolic50thMmHg).toBeLessThan(a.systolic95thMmHg!);
      }
    }
  });
});

// ---------------------------------------------------------------- from the patient
describe('scores of a patient', () => {
  const VITALS: TrueVitals = {
    heartRatePerMin: 148,
    pulseRatePerMin: 148,
    respiratoryRatePerMin: 34,
    spo2Percent: 90,
    systolicMmHg: 78,
    diastolicMmHg: 40,
    meanMmHg: 52,
    etco2MmHg: 34,
    temperatureCelsius: 36.8,
    glucoseMmolPerL: 7,
    capillaryRefillS: 4,
    perfusionFraction: 0.4,
    consciousnessFraction: 0.9,
    paco2MmHg: 40,
    pao2MmHg: 58,
    arterialPh: 7.3,
    lactateMmolPerL: 4,
    ventilationRatio: 1.4,
    bronchospasmFraction: 0.5,
    upperAirwayFraction: 0.2,
    fio2Fraction: 0.6,
    rhythm: 0,
    arrested: 0,
  };
  const child = { ageYears: 8, weightKg: 26, sex: 'female' } as const;
  const signs: Partial<Record<SignId, number>> = { 'work-of-breathing': 3, wheeze: 3, drowsiness: 0 };

  it('a child in anaphylaxis: the worked 19, and a high shock index', () => {
    const { scores, consciousness } = scoresOf(child, VITALS, signs);
    expect(scores.map((each) => each.score)).toEqual(['pews', 'shock-index']);
    expect(scored(scores[0]!).total).toBe(19);
    expect(scored(scores[1]!)).toMatchObject({ total: 1.9, band: 'high' });
    expect(consciousness.letter).toBe('A');
  });
  it('an adult gets NEWS2; scale 2 only for COPD; asthma and croup bring their own', () => {
    const adult = { ageYears: 60, weightKg: 70, sex: 'male' } as const;
    const first = (illness: string) =>
      scored(scoresOf({ ...adult, illness: [{ disease: illness }] }, VITALS, signs).scores[0]!);
    expect(first('anaphylaxis')).toMatchObject({ score: 'news2', variant: 'SpO2 scale 1' });
    expect(first('copd').variant).toContain('scale 2');
    const keeps = { ...adult, illness: [{ disease: 'copd', pattern: 'non-retainer' }] };
    expect(scored(scoresOf(keeps, VITALS, signs).scores[0]!).variant).toBe('SpO2 scale 1');
    const ids = (disease: string, fio2Fraction: number) =>
      scoresOf({ ...child, illness: [{ disease }] }, { ...VITALS, fio2Fraction }, signs).scores;
    expect(scored(ids('asthma', 0.21).at(-1)!)).toMatchObject({ score: 'pram', band: 'severe' });
    expect(refused(ids('asthma', 0.6).at(-1)!)).toMatchObject({ score: 'pram', code: 'not-applicable' });
    expect(ids('croup', 0.21).at(-1)!.score).toBe('westley');
  });
  it('support scores 4 whatever the oxygen; arrest has no score', () => {
    const low = { ...VITALS, fio2Fraction: 0.25 };
    expect(points(scoresOf(child, low, signs).scores[0]!, 'oxygen')).toBe(1);
    expect(points(scoresOf(child, low, signs, { support: 'cpap' }).scores[0]!, 'oxygen')).toBe(4);
    const dead = scoresOf(child, { ...VITALS, arrested: 1 }, signs);
    expect(dead.scores).toEqual([]);
    expect(dead.consciousness.letter).toBe('U');
  });
});
