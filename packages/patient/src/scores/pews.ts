/**
 * National paediatric early warning score for inpatients in England (NHS England, RCPCH, RCN 2023). The tables are those
 * of the national configuration document as tabulated by the college's public chart project (rcpch/digital-pews,
 * spec/npews-scoring-tables), recorded there as checked by a named doctor against the live charts on 2026-06-30. Earlier
 * draft thresholds in public code differ and are not used. For training only: the chart and its escalation tool prevail.
 */
import { AGE, ageWords, item, Observations, pointsFor, RATE, SATURATION, SYSTOLIC, totalOf, whole } from './common.ts';
import type { PointTable } from './common.ts';
import type { Consciousness, ScoreOutcome } from './types.ts';

export const PEWS_SOURCE =
  'National Paediatric Early Warning System (England), NHS England, RCPCH and RCN, 2023; tables as in rcpch/digital-pews, checked there against the live charts 2026-06-30.';

export type Distress = 'none' | 'mild' | 'moderate' | 'severe';

/** How oxygen is given. The three supports score 4 whatever the oxygen. */
export type PewsOxygen =
  | { readonly by: 'air' }
  | { readonly by: 'fraction'; readonly fio2Percent: number }
  | { readonly by: 'flow'; readonly flowLPerMin: number }
  | { readonly by: 'high-flow' | 'cpap' | 'bilevel' };

export interface PewsObservations {
  readonly ageYears: number;
  readonly respiratoryRatePerMin: number;
  readonly distress: Distress;
  readonly spo2Percent: number;
  readonly oxygen: PewsOxygen;
  readonly heartRatePerMin: number;
  readonly systolicMmHg: number;
  readonly capillaryRefillS: number;
  /** Not scored; alters the escalation. */
  readonly consciousness?: Consciousness;
  /** Not scored; a sepsis prompt. */
  readonly temperatureCelsius?: number;
}

interface AgeBand {
  readonly belowYears: number;
  readonly name: string;
  readonly rate: PointTable;
  readonly heart: PointTable;
  readonly systolic: PointTable;
}

/** The published table, one row a line. */
// prettier-ignore
export const PEWS_BANDS: readonly AgeBand[] = [
  {
    belowYears: 1, name: '0 to 11 months',
    rate: [[0, 4], [10, 2], [20, 1], [30, 0], [50, 1], [60, 2], [70, 4]],
    heart: [[0, 4], [80, 2], [90, 1], [110, 0], [150, 1], [170, 2], [180, 4]],
    systolic: [[0, 4], [50, 2], [60, 1], [70, 0], [90, 1], [100, 2], [110, 4]],
  },
  {
    belowYears: 5, name: '1 to 4 years',
    rate: [[0, 4], [10, 2], [20, 0], [40, 1], [50, 2], [60, 4]],
    heart: [[0, 4], [60, 2], [70, 1], [90, 0], [140, 1], [150, 2], [170, 4]],
    systolic: [[0, 4], [50, 2], [60, 1], [80, 0], [100, 1], [120, 2], [130, 4]],
  },
  {
    belowYears: 13, name: '5 to 12 years',
    rate: [[0, 4], [10, 2], [15, 1], [20, 0], [25, 1], [40, 2], [50, 4]],
    heart: [[0, 4], [60, 2], [70, 1], [80, 0], [120, 1], [140, 2], [160, 4]],
    systolic: [[0, 4], [70, 2], [80, 1], [90, 0], [110, 1], [120, 2], [130, 4]],
  },
  {
    belowYears: 18, name: '13 years and over',
    rate: [[0, 4], [10, 1], [15, 0], [25, 1], [30, 2], [40, 4]],
    heart: [[0, 4], [50, 2], [60, 1], [70, 0], [100, 1], [120, 2], [130, 4]],
    systolic: [[0, 4], [80, 2], [90, 1], [100, 0], [120, 1], [130, 2], [140, 4]],
  },
];

const SATURATIONS: PointTable = [
  [0, 4],
  [92, 1],
  [95, 0],
];
const DISTRESS: Readonly<Record<Distress, number>> = { none: 0, mild: 1, moderate: 2, severe: 4 };
const SUPPORTS: Readonly<Record<string, string>> = {
  'high-flow': 'high-flow oxygen',
  cpap: 'CPAP',
  bilevel: 'bilevel support',
};

function oxygenPoints(see: Observations, oxygen: PewsOxygen | undefined): readonly [string, number] {
  const by: unknown = oxygen?.by;
  if (oxygen === undefined || oxygen === null) {
    see.refuse('missing', 'air or oxygen was not observed', 'Say how oxygen is given (oxygen), or that it is air.');
    return ['', 0];
  }
  if (oxygen.by === 'air') return ['air', 0];
  if (oxygen.by === 'fraction') {
    const inner = new Observations('pews', see.title, oxygen);
    const need = { key: 'fio2Percent', label: 'inhaled oxygen', low: 21, high: 100, unit: '%' };
    const percent = inner.number(need);
    if (inner.refusal !== null) see.refuse(inner.refusal.code, inner.refusal.because, inner.refusal.mend);
    // The table's row "16 to 29.99 %" would score air: oxygen is read as more than 21 %.
    return [`${whole(percent)} % oxygen`, percent >= 50 ? 4 : percent >= 30 ? 2 : percent > 21 ? 1 : 0];
  }
  if (oxygen.by === 'flow') {
    const inner = new Observations('pews', see.title, oxygen);
    const flow = inner.number({ key: 'flowLPerMin', label: 'oxygen flow', low: 0, high: 80, unit: 'L/min' });
    if (inner.refusal !== null) see.refuse(inner.refusal.code, inner.refusal.because, inner.refusal.mend);
    return [`oxygen ${flow} L/min`, flow >= 6 ? 4 : flow >= 2 ? 2 : flow > 0 ? 1 : 0];
  }
  const words = SUPPORTS[String(by)];
  if (words === undefined) {
    see.refuse(
      'bad-value',
      `oxygen is given by “${String(by)}”`,
      'Give air, fraction, flow, high-flow, cpap or bilevel.',
    );
    return ['', 0];
  }
  return [words, 4];
}

/** Whole values as charted. A refill between 2 and 3 s has no score in the chart: it is read as 2 s, and said so. */
export function pews(given: PewsObservations): ScoreOutcome {
  const title = 'PEWS (England)';
  const see = new Observations('pews', title, given);
  const age = see.number(AGE);
  const chart = PEWS_BANDS.find((each) => age < each.belowYears);
  if (see.refusal === null && chart === undefined) {
    see.refuse('age', `the patient is ${age} years old`, 'The paediatric charts end below 18 years: use NEWS2.');
  }
  const rate = whole(see.number(RATE));
  const distress = see.word('distress', 'respiratory distress', ['none', 'mild', 'moderate', 'severe'] as const);
  const spo2 = whole(see.number(SATURATION));
  const [oxygenWords, oxygen] = oxygenPoints(see, given.oxygen);
  const heart = whole(see.number({ key: 'heartRatePerMin', label: 'heart rate', low: 0, high: 350, unit: '/min' }));
  const systolic = whole(see.number(SYSTOLIC));
  const refill = see.number({ key: 'capillaryRefillS', label: 'capillary refill', low: 0, high: 60, unit: 's' });
  if (see.refusal !== null) return see.refusal;

  const band = chart!;
  const items = [
    item('respiratory-rate', 'Breathing rate', `${rate} /min`, pointsFor(band.rate, rate)),
    item('distress', 'Respiratory distress', distress, DISTRESS[distress]),
    item('spo2', 'SpO2', `${spo2} %`, pointsFor(SATURATIONS, spo2)),
    item('oxygen', 'Oxygen', oxygenWords, oxygen),
    item('heart-rate', 'Heart rate', `${heart} /min`, pointsFor(band.heart, heart)),
    item('systolic', 'Systolic pressure', `${systolic} mmHg`, pointsFor(band.systolic, systolic)),
    item('capillary-refill', 'Capillary refill', `${refill.toFixed(1)} s`, refill >= 3 ? 2 : 0),
  ];
  const total = totalOf(items);
  const [id, words] =
    total >= 13
      ? ['emergency', 'Emergency (13 or more)']
      : total >= 9
        ? ['high', 'High (9 to 12)']
        : total >= 5
          ? ['medium', 'Medium (5 to 8)']
          : total >= 1
            ? ['low', 'Low (1 to 4)']
            : ['none', 'No points'];
  const notes: string[] = [];
  if (refill > 2 && refill < 3) notes.push('Refill between 2 and 3 s has no score on the chart; read as 2 s.');
  if (given.consciousness === 'voice') notes.push('Responds to voice only: escalate as high, whatever the total.');
  if (given.consciousness === 'pain' || given.consciousness === 'unresponsive') {
    notes.push('Responds to pain only or not at all: escalate as an emergency, whatever the total.');
  }
  const temperature = given.temperatureCelsius;
  if (temperature !== undefined && (temperature >= 38 || temperature < 36)) {
    notes.push(`Temperature ${temperature.toFixed(1)} °C is not scored: think of sepsis.`);
  }
  for (const each of items) if (each.points === 4) notes.push(`${each.label} alone scores 4.`);
  return {
    ok: true,
    score: 'pews',
    title,
    total,
    // Six items of at most 4, and refill of at most 2.
    outOf: 26,
    items,
    band: id,
    bandWords: words,
    variant: `chart ${band.name}, for ${ageWords(age)}`,
    notes,
    source: PEWS_SOURCE,
  };
}
