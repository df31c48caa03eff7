/**
 * National Early Warning Score 2 (NEWS2), adults. Royal College of Physicians. National Early Warning Score (NEWS) 2:
 * Standardising the assessment of acute-illness severity in the NHS. London: RCP, 2017 (chart 1, seen as reproduced;
 * bands and the 16-year and pregnancy limits from the same report). Reproduced with acknowledgement, for training only.
 */
import { AGE, item, Observations, pointsFor, RATE, SATURATION, SYSTOLIC, tenth, totalOf, whole } from './common.ts';
import type { PointTable } from './common.ts';
import type { Consciousness, ScoreOutcome } from './types.ts';

export const NEWS2_SOURCE =
  'National Early Warning Score (NEWS) 2, © Royal College of Physicians, London, 2017. Adults from 16 years, not in pregnancy.';

export interface News2Observations {
  readonly ageYears: number;
  /** NEWS2 is not made for pregnancy. Default false. */
  readonly pregnant?: boolean;
  readonly respiratoryRatePerMin: number;
  readonly spo2Percent: number;
  /** 2 only where a clinician has set a target of 88 to 92 % for hypercapnic respiratory failure. Default 1. */
  readonly spo2Scale?: 1 | 2;
  readonly onOxygen: boolean;
  readonly systolicMmHg: number;
  readonly pulsePerMin: number;
  readonly consciousness: Consciousness;
  readonly temperatureCelsius: number;
}

const RATES: PointTable = [
  [0, 3],
  [9, 1],
  [12, 0],
  [21, 2],
  [25, 3],
];
const SCALE_1: PointTable = [
  [0, 3],
  [92, 2],
  [94, 1],
  [96, 0],
];
const SCALE_2_AIR: PointTable = [
  [0, 3],
  [84, 2],
  [86, 1],
  [88, 0],
];
const SCALE_2_OXYGEN: PointTable = [...SCALE_2_AIR, [93, 1], [95, 2], [97, 3]];
const SYSTOLICS: PointTable = [
  [0, 3],
  [91, 2],
  [101, 1],
  [111, 0],
  [220, 3],
];
const PULSES: PointTable = [
  [0, 3],
  [41, 1],
  [51, 0],
  [91, 1],
  [111, 2],
  [131, 3],
];
const TEMPERATURES: PointTable = [
  [0, 3],
  [35.1, 1],
  [36.1, 0],
  [38.1, 1],
  [39.1, 2],
];
const WORDS: readonly Consciousness[] = ['alert', 'confused', 'voice', 'pain', 'unresponsive'];
const CONSCIOUSNESS: Readonly<Record<Consciousness, string>> = {
  alert: 'alert',
  confused: 'new confusion',
  voice: 'responds to voice',
  pain: 'responds to pain',
  unresponsive: 'unresponsive',
};

/** NEWS2 of one set of observations, rounded as they are charted: whole numbers, temperature to 0.1 °C. */
export function news2(given: News2Observations): ScoreOutcome {
  const title = 'NEWS2';
  const see = new Observations('news2', title, given);
  const age = see.number(AGE);
  if (see.refusal === null && age < 16) {
    see.refuse('age', `the patient is ${age} years old`, 'NEWS2 is for 16 years and over: use the paediatric score.');
  }
  if (given.pregnant === true) {
    see.refuse('not-applicable', 'the patient is pregnant', 'Use a maternity early warning score.');
  }
  const scale = given.spo2Scale ?? 1;
  if (scale !== 1 && scale !== 2) {
    see.refuse('bad-value', `the saturation scale is ${String(scale)}`, 'Give scale 1, or 2 where 88 to 92 % is set.');
  }
  const rate = whole(see.number(RATE));
  const spo2 = whole(see.number(SATURATION));
  const onOxygen = see.flag('onOxygen', 'air or oxygen');
  const systolic = whole(see.number(SYSTOLIC));
  const pulse = whole(see.number({ key: 'pulsePerMin', label: 'pulse', low: 0, high: 350, unit: '/min' }));
  const mind = see.word('consciousness', 'consciousness', WORDS);
  const temperature = tenth(
    see.number({ key: 'temperatureCelsius', label: 'temperature', low: 12, high: 46, unit: '°C' }),
  );
  if (see.refusal !== null) return see.refusal;

  const saturations = scale === 1 ? SCALE_1 : onOxygen ? SCALE_2_OXYGEN : SCALE_2_AIR;
  const items = [
    item('respiratory-rate', 'Breathing rate', `${rate} /min`, pointsFor(RATES, rate)),
    item('spo2', `SpO2, scale ${scale}`, `${spo2} %`, pointsFor(saturations, spo2)),
    item('oxygen', 'Air or oxygen', onOxygen ? 'oxygen' : 'air', onOxygen ? 2 : 0),
    item('systolic', 'Systolic pressure', `${systolic} mmHg`, pointsFor(SYSTOLICS, systolic)),
    item('pulse', 'Pulse', `${pulse} /min`, pointsFor(PULSES, pulse)),
    item('consciousness', 'Consciousness', CONSCIOUSNESS[mind], mind === 'alert' ? 0 : 3),
    item('temperature', 'Temperature', `${temperature.toFixed(1)} °C`, pointsFor(TEMPERATURES, temperature)),
  ];
  const total = totalOf(items);
  const red = items.filter((each) => each.points === 3);
  const [band, bandWords] =
    total >= 7
      ? ['high', 'High: emergency response']
      : total >= 5
        ? ['medium', 'Medium: urgent response']
        : red.length > 0
          ? ['low-medium', 'Low to medium: one item scores 3, urgent ward review']
          : ['low', 'Low: ward response'];
  return {
    ok: true,
    score: 'news2',
    title,
    total,
    outOf: 20,
    items,
    band,
    bandWords,
    variant: scale === 1 ? 'SpO2 scale 1' : 'SpO2 scale 2 (target 88 to 92 %)',
    notes: red.map((each) => `${each.label} alone scores 3.`),
    source: NEWS2_SOURCE,
  };
}
