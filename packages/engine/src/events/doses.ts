/** Doses: units, what the chosen pack suggests, and what share of it was given. */
import type { DoseRule, Intervention, Source } from '@breathline/scenario';
import { planOf, type Plan } from '../run/plan.ts';
import type { RunDefinition } from '../types.ts';

/** Micrograms in each unit of mass. */
const MASS: Readonly<Record<string, number>> = {
  micrograms: 1,
  microgram: 1,
  mcg: 1,
  mg: 1000,
  milligrams: 1000,
  g: 1_000_000,
  grams: 1_000_000,
};

/** Converts an amount between units of mass; the same unit passes through; null when they do not convert. */
export function convertAmount(amount: number, from: string, to: string): number | null {
  if (from === to) return amount;
  const a = MASS[from];
  const b = MASS[to];
  return a === undefined || b === undefined ? null : (amount * a) / b;
}

/** A dose as the pack gives it for this patient. Always show with its source, and as training only. */
export interface SuggestedDose {
  readonly intervention: string;
  readonly amount: number;
  /** Upper end where the source gives a range. */
  readonly amountHigh: number | null;
  readonly unit: string;
  readonly concentration: string | null;
  /** Volume of that concentration, mL; null when no concentration is known. */
  readonly volumeMl: number | null;
  /** "6 to under 12 years" or "10 micrograms/kg, at most 500". */
  readonly because: string;
  readonly note: string | null;
  readonly source: Source;
  readonly rule: DoseRule;
}

function inBand(band: NonNullable<DoseRule['bands']>[number], ageYears: number, weightKg: number): boolean {
  return (
    ageYears >= band.fromAgeYears &&
    (band.belowAgeYears === undefined || ageYears < band.belowAgeYears) &&
    (band.fromWeightKg === undefined || weightKg >= band.fromWeightKg) &&
    (band.belowWeightKg === undefined || weightKg < band.belowWeightKg)
  );
}

/** Numbers to at most three decimals, without a trailing zero. */
export function plainNumber(value: number): string {
  return String(Math.round(value * 1000) / 1000);
}

function ageText(years: number): string {
  return years < 2 && years > 0 ? `${Math.round(years * 12)} months` : `${plainNumber(years)} years`;
}

/**
 * The volume, in mL to three decimals, that holds `amount` of this intervention at the labelled strength; null when the
 * label is unknown.
 */
export function volumeFor(item: Intervention, concentration: string | undefined, amount: number): number | null {
  const strength = item.concentrations?.find((each) => each.label === concentration);
  if (strength === undefined || !(strength.amount > 0)) return null;
  return Math.round(((amount * strength.perMl) / strength.amount) * 1000) / 1000;
}

function suggest(plan: Plan, intervention: string, weightKg: number): SuggestedDose | null {
  const item = plan.interventions.get(intervention);
  const rule = plan.pack?.doses.find((dose) => dose.intervention === intervention);
  if (item === undefined || rule === undefined) return null;
  const concentration =
    rule.concentration ?? (item.concentrations?.length === 1 ? item.concentrations[0]!.label : undefined);
  const unit = item.unit ?? '';
  const finish = (
    amount: number,
    amountHigh: number | undefined,
    because: string,
    note: string | undefined,
    source: Source,
  ): SuggestedDose => ({
    intervention,
    amount,
    amountHigh: amountHigh ?? null,
    unit,
    concentration: concentration ?? null,
    volumeMl: volumeFor(item, concentration, amount),
    because,
    note: note ?? null,
    source,
    rule,
  });
  const band = rule.bands?.find((each) => inBand(each, plan.profile.ageYears, weightKg));
  if (band !== undefined) {
    const because =
      band.belowAgeYears === undefined
        ? `${ageText(band.fromAgeYears)} and over`
        : `${ageText(band.fromAgeYears)} to under ${ageText(band.belowAgeYears)}`;
    return finish(band.amount, band.amountHigh, because, band.note, band.source ?? rule.source);
  }
  if (rule.perKg === undefined) return null;
  const { amount, amountHigh, max } = rule.perKg;
  const cap = (dose: number): number => (max === undefined ? dose : Math.min(max, dose));
  const because = `${plainNumber(amount)} ${unit}/kg${max === undefined ? '' : `, at most ${plainNumber(max)} ${unit}`}, ${plainNumber(weightKg)} kg`;
  return finish(
    cap(amount * weightKg),
    amountHigh === undefined ? undefined : cap(amountHigh * weightKg),
    because,
    undefined,
    rule.source,
  );
}

/**
 * What the run's chosen pack suggests for this patient, by age band or weight; null when the pack has no dose for it.
 * `weightKg` replaces the patient's own weight.
 */
export function suggestDose(definition: RunDefinition, intervention: string, weightKg?: number): SuggestedDose | null {
  const plan = planOf(definition);
  return suggest(plan, intervention, weightKg ?? plan.profile.weightKg);
}

export function suggestFromPlan(plan: Plan, intervention: string): SuggestedDose | null {
  return suggest(plan, intervention, plan.profile.weightKg);
}
