/** Doses from a pack or the formulary, for one patient, with strength and volume. */
import { formatAmount, formatNumber, tidy } from '../words/quantity.ts';
import type { Concentration, DoseRule, Intervention, Library, Source } from '../types.ts';

export interface DosePatient {
  readonly ageYears: number;
  readonly weightKg: number;
}

/** What one rule allows for one patient, in the intervention's unit. */
export interface AllowedDose {
  readonly low: number;
  readonly high: number;
  readonly rule: 'age band' | 'weight';
  /** The rule's own ceiling cut the dose. */
  readonly capped: boolean;
  readonly note?: string;
  readonly source: Source;
}

type RuleParts = Pick<DoseRule, 'bands' | 'perKg' | 'source'>;
type Band = NonNullable<DoseRule['bands']>[number];

/** The band of a rule that fits a patient: lower bound inclusive, upper exclusive. */
export function bandFor(rule: Pick<DoseRule, 'bands'>, { ageYears, weightKg }: DosePatient): Band | undefined {
  return rule.bands?.find(
    (one) =>
      ageYears >= one.fromAgeYears &&
      ageYears < (one.belowAgeYears ?? Infinity) &&
      weightKg >= (one.fromWeightKg ?? 0) &&
      weightKg < (one.belowWeightKg ?? Infinity),
  );
}

/** Whom a band is for: `age band 6 years to under 12 years`, `weight band 20 kg and over`, `any age`. */
export function bandWords(band: Band): string {
  const parts: string[] = [];
  if (band.fromAgeYears > 0 || band.belowAgeYears !== undefined)
    parts.push(`age band ${edgeWords(ageWords(band.fromAgeYears), band.belowAgeYears, ageWords)}`);
  if (band.fromWeightKg !== undefined || band.belowWeightKg !== undefined)
    parts.push(
      band.fromWeightKg === undefined
        ? `weight band under ${weightWords(band.belowWeightKg!)}`
        : `weight band ${edgeWords(weightWords(band.fromWeightKg), band.belowWeightKg, weightWords)}`,
    );
  return parts.length === 0 ? 'any age' : parts.join(', ');
}

const edgeWords = (from: string, below: number | undefined, words: (value: number) => string): string =>
  below === undefined ? `${from} and over` : `${from} to under ${words(below)}`;

const weightWords = (kg: number): string => `${formatNumber(kg)} kg`;

function ageWords(years: number): string {
  if (years === 0) return 'birth';
  const [n, unit] = years < 2 && !Number.isInteger(years) ? [Math.round(years * 12), 'month'] : [years, 'year'];
  return `${formatNumber(n)} ${unit}${n === 1 ? '' : 's'}`;
}

/**
 * The dose a rule allows. Bands of age (or weight) come first: lower bound inclusive, upper exclusive; the weight rule
 * is used where no band fits. Null when neither does.
 */
export function allowedDose(rule: RuleParts, patient: DosePatient): AllowedDose | null {
  const { weightKg } = patient;
  const band = bandFor(rule, patient);
  if (band) {
    return {
      low: band.amount,
      high: band.amountHigh ?? band.amount,
      rule: 'age band',
      capped: false,
      source: band.source ?? rule.source,
      ...(band.note ? { note: band.note } : {}),
    };
  }
  if (!rule.perKg) return null;
  const { amount, amountHigh = amount, max = Infinity } = rule.perKg;
  const low = tidy(amount * weightKg);
  const high = tidy(amountHigh * weightKg);
  return {
    low: Math.min(low, max),
    high: Math.min(high, max),
    rule: 'weight',
    capped: high > max,
    source: rule.source,
  };
}

export interface DoseSuggestion {
  readonly amount: number;
  /** Upper end where the rule gives a range. */
  readonly amountHigh?: number;
  readonly unit: string;
  /** Set when the amount is a rate (an infusion). */
  readonly ratePer?: 'min' | 'h';
  readonly concentration: Concentration | null;
  /** Volume of the low end at that strength, rounded to what a syringe can measure; mL (or mL per `ratePer`). */
  readonly volumeMl: number | null;
  readonly volumeHighMl?: number;
  readonly overMs?: number;
  /** `300 micrograms = 0.3 mL of 1 mg/mL` */
  readonly text: string;
  /** Why this dose: `age band 6 years to under 12 years`, `10 micrograms/kg × 18 kg`, `capped at 500 micrograms`. */
  readonly because: string;
  readonly note?: string;
  readonly capped: boolean;
  readonly source: Source | null;
  readonly rule: 'age band' | 'weight' | 'formulary' | null;
  readonly packId: string | null;
}

/** Rounds a volume to what can be drawn up: 0.01 mL below 1 mL, 0.1 mL below 20 mL, else 1 mL (common practice, no source). */
export function measurableMl(volumeMl: number): number {
  const step = volumeMl < 1 ? 100 : volumeMl < 20 ? 10 : 1;
  return Math.round(tidy(volumeMl * step)) / step;
}

/** Volume of an amount at a strength, mL, not rounded. */
export function volumeOf(amount: number, concentration: Concentration): number {
  return tidy((amount / concentration.amount) * concentration.perMl);
}

/**
 * A dose as it must be shown: amount, then volume and strength, e.g. `300 micrograms = 0.3 mL of 1 mg/mL`.
 * Without a strength only the amount stands, never a bare volume of a drug.
 */
export function formatDose(dose: {
  readonly amount: number;
  readonly amountHigh?: number;
  readonly unit: string;
  readonly concentration?: Concentration | null;
  readonly ratePer?: 'min' | 'h';
}): string {
  const per = dose.ratePer ? `/${dose.ratePer}` : '';
  const range = dose.amountHigh !== undefined && dose.amountHigh !== dose.amount;
  const amount = range
    ? `${formatAmount(dose.amount, dose.unit)}${per} to ${formatAmount(dose.amountHigh!, dose.unit)}${per}`
    : `${formatAmount(dose.amount, dose.unit)}${per}`;
  const { concentration } = dose;
  if (!concentration) return amount;
  const volume = (value: number): string =>
    `${formatNumber(measurableMl(volumeOf(value, concentration)))}\u00a0mL${per}`;
  const volumes = range ? `${volume(dose.amount)} to ${volume(dose.amountHigh!)}` : volume(dose.amount);
  return `${amount} = ${volumes} of ${concentration.label.replace(' ', '\u00a0')}`;
}

function strengthOf(intervention: Intervention, label: string | undefined): Concentration | null {
  const { concentrations = [] } = intervention;
  return concentrations.find((one) => one.label === label) ?? concentrations[0] ?? null;
}

/**
 * The dose to offer for an intervention: from the chosen pack, else from the formulary. Null when it takes no amount
 * or neither has a rule for this patient. Only ever a suggestion, and training only.
 *
 * @param packId the pack chosen for the run; an unknown id falls back to the formulary
 */
export function suggestDose(options: {
  readonly library: Library;
  readonly packId: string;
  readonly intervention: string;
  readonly ageYears: number;
  readonly weightKg: number;
}): DoseSuggestion | null {
  const { library, packId, ageYears, weightKg } = options;
  const intervention = library.interventions.find((one) => one.id === options.intervention);
  if (!intervention?.unit || !(weightKg > 0) || !(ageYears >= 0)) return null;
  const pack = library.packs.find((one) => one.id === packId);
  const patient = { ageYears, weightKg };
  for (const rule of pack?.doses ?? []) {
    if (rule.intervention !== intervention.id) continue;
    const allowed = allowedDose(rule, patient);
    if (allowed) return suggestion(intervention, rule, allowed, patient, allowed.rule, packId);
  }
  const usual = intervention.usual ? allowedDose(intervention.usual, patient) : null;
  return usual ? suggestion(intervention, intervention.usual!, usual, patient, 'formulary', null) : null;
}

function suggestion(
  intervention: Intervention,
  rule: Pick<DoseRule, 'bands' | 'perKg' | 'concentration' | 'overMs'>,
  allowed: AllowedDose,
  patient: DosePatient,
  ruleName: DoseSuggestion['rule'],
  packId: string | null,
): DoseSuggestion {
  const unit = intervention.unit!;
  const concentration = strengthOf(intervention, rule.concentration);
  const { ratePer } = intervention;
  const range = allowed.high !== allowed.low;
  const volume = (amount: number): number | null =>
    concentration ? measurableMl(volumeOf(amount, concentration)) : unit === 'mL' ? amount : null;
  const per = ratePer ? `/${ratePer}` : '';
  const perKg = rule.perKg
    ? `${formatAmount(rule.perKg.amount, unit)}/kg${per} × ${formatNumber(patient.weightKg)}\u00a0kg`
    : '';
  const because =
    allowed.rule === 'weight'
      ? `${perKg}${allowed.capped ? `, capped at ${formatAmount(allowed.high, unit)}` : ''}`
      : bandWords(bandFor(rule, patient)!);
  const overMs = rule.overMs ?? intervention.overMs;
  return {
    amount: allowed.low,
    ...(range ? { amountHigh: allowed.high } : {}),
    unit,
    ...(ratePer ? { ratePer } : {}),
    concentration,
    volumeMl: volume(allowed.low),
    ...(range && volume(allowed.high) !== null ? { volumeHighMl: volume(allowed.high)! } : {}),
    ...(overMs !== undefined ? { overMs } : {}),
    text: formatDose({
      amount: allowed.low,
      amountHigh: range ? allowed.high : undefined,
      unit,
      concentration,
      ratePer,
    }),
    because,
    ...(allowed.note ? { note: allowed.note } : {}),
    capped: allowed.capped,
    source: allowed.source,
    rule: ruleName,
    packId,
  };
}
