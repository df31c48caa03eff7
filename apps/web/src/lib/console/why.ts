/**
 * "Why is the saturation 84 %?" as faculty read it: the question, the model's terms with what plays a part first, and
 * where the value lies among well people of that age.
 */
import { pressureAnchors, rateCentile, type AgeNorms, type Sex, type VitalId } from '@breathline/patient';
import { plainNumber } from './format.ts';

/** Vitals the model can say something about. A temperature has no terms of its own. */
export const WHY_VITALS: ReadonlySet<VitalId> = new Set<VitalId>([
  'heartRatePerMin',
  'spo2Percent',
  'systolicMmHg',
  'respiratoryRatePerMin',
  'etco2MmHg',
  'capillaryRefillS',
]);

const ASKED: Partial<Record<VitalId, readonly [words: string, unit: string]>> = {
  heartRatePerMin: ['the heart rate', ''],
  spo2Percent: ['the saturation', ' %'],
  systolicMmHg: ['the blood pressure', ''],
  respiratoryRatePerMin: ['the breathing rate', ''],
  etco2MmHg: ['the end-tidal CO₂', ' mmHg'],
  capillaryRefillS: ['capillary refill', ' s'],
};

/** "Why is the saturation 84 %?"; `text` is the value as printed. */
export function whyQuestion(vital: VitalId, text: string): string {
  const [words, unit] = ASKED[vital] ?? ['this', ''];
  return `Why is ${words} ${text}${unit}?`;
}

export interface Term {
  readonly id: string;
  readonly label: string;
  readonly value: number;
  readonly unit: string;
  readonly trend?: 'rising' | 'falling' | 'steady';
}

export interface TermRow {
  readonly id: string;
  readonly label: string;
  readonly value: string;
  readonly unit: string;
  readonly trend: 'rising' | 'falling' | 'steady' | null;
}

/** Terms given as a share of what they are in this patient at rest. */
const OF_RESTING: ReadonlySet<string> = new Set(['output', 'resistance', 'volume', 'filling']);
/** Room for a trend beside the figure on a tablet. */
const SHORT_UNITS: Readonly<Record<string, string>> = { 'times resting': '× resting' };
const NAMES: Readonly<Record<string, string>> = { output: 'Output of the heart', resistance: 'Vessel resistance' };

function termRow(term: Term): TermRow {
  const whole = term.unit === '%' || term.unit === 'mmHg';
  return {
    id: term.id,
    label: NAMES[term.id] ?? term.label,
    value: plainNumber(term.value, whole ? 0 : 2),
    unit: OF_RESTING.has(term.id) ? '% of resting' : (SHORT_UNITS[term.unit] ?? term.unit),
    trend: term.trend ?? null,
  };
}

/** Nought per cent and not moving: it plays no part just now. Shares of the resting value always do. */
const quiet = (term: Term): boolean =>
  term.unit === '%' && !OF_RESTING.has(term.id) && term.value < 0.5 && (term.trend ?? 'steady') === 'steady';

/** The terms, in the model's order, split into those that play a part now and those at nought. */
export function termRows(terms: readonly Term[]): {
  readonly telling: readonly TermRow[];
  readonly quiet: readonly TermRow[];
} {
  return {
    telling: terms.filter((term) => !quiet(term)).map(termRow),
    quiet: terms.filter(quiet).map(termRow),
  };
}

/** A centile in few letters, for a narrow column: "97th", ">99th", "<1st"; null for adults and other vitals. */
export function shortCentile(vital: VitalId, ageYears: number, value: number): string | null {
  const found = centileOf(vital, ageYears, value);
  if (!found) return null;
  if (found.beyond === 'above-99th') return '>99th';
  if (found.beyond === 'below-1st') return '<1st';
  return found.words.match(/\d+(?:st|nd|rd|th)/)?.[0] ?? null;
}

function centileOf(vital: VitalId, ageYears: number, value: number) {
  const kind = vital === 'heartRatePerMin' ? 'heart' : vital === 'respiratoryRatePerMin' ? 'breathing' : null;
  // A rate no living person has (an override, an arrest) is on no chart.
  return kind === null || value <= 0 || value > 400 ? null : rateCentile(kind, ageYears, value);
}

/** As the limit itself says it (patient package, `lowSystolic`). */
const LOW_SOURCE = 'paediatric advanced life support, 70 + 2 x age from 1 to 10 years.';

export interface Usual {
  readonly text: string;
  readonly source: string;
}

/** What is usual at this age, and where this value lies; null where nothing is charted by age. */
export function usualForAge(
  vital: VitalId,
  norms: AgeNorms,
  who: { readonly ageYears: number; readonly sex: Sex },
  value: number,
): Usual | null {
  const number = (each: number): string => plainNumber(each, 0);
  if (vital === 'heartRatePerMin' || vital === 'respiratoryRatePerMin') {
    const range = `${number(norms[vital].low)} to ${number(norms[vital].high)}`;
    const centile = centileOf(vital, who.ageYears, value);
    return centile
      ? { text: `Usual for age ${range} (10th to 90th centile). Now ${centile.words}.`, source: centile.source }
      : { text: `Usual for age ${range}.`, source: norms.source };
  }
  if (vital !== 'systolicMmHg') return null;
  const low = `Systolic is low for age below ${number(norms.systolicLowMmHg)} mmHg.`;
  const anchors = pressureAnchors(who.ageYears, who.sex);
  if (!anchors) return { text: low, source: norms.source };
  const top = anchors.systolic95thMmHg === null ? '' : `, 95th ${number(anchors.systolic95thMmHg)}`;
  const charted = `5th centile ${number(anchors.systolic5thMmHg)}, 50th ${number(anchors.systolic50thMmHg)}${top}`;
  return { text: `${low} Systolic: ${charted}.`, source: `Low for age: ${LOW_SOURCE} ${anchors.source}` };
}
