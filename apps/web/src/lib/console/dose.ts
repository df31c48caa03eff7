/**
 * The dose line on the console: a draft that can be edited by amount or by volume, each following the other through
 * the chosen strength. Training only; the suggestion is the chosen pack's, never this file's.
 */
import type { EventBody } from '@breathline/engine';
import type { DeviceUse } from '@breathline/patient';
import { doseUnit, type Concentration, type DoseStep, type Intervention } from '@breathline/scenario';
import { isDosed } from './catalogue.ts';
import { plainNumber } from './format.ts';

/** What the chosen pack suggests for this patient, as the console needs it. */
export interface PackDose {
  readonly amount: number;
  /** Upper end, where the source gives a range. */
  readonly amountHigh: number | null;
  readonly unit: string;
  readonly concentration: string | null;
  readonly volumeMl: number | null;
  /** As it must be read: "300 micrograms = 0.3 mL of 1 mg/mL", a range as a range. */
  readonly text: string;
  /** How it was reached: "6 to under 12 years", "10 micrograms/kg x 23 kg". */
  readonly basis: string;
  /** The source's own remark on this line, if any. */
  readonly note: string | null;
  /** From the chosen pack; otherwise from the formulary. */
  readonly fromPack: boolean;
  /** Organisation, document, edition, section. */
  readonly source: string;
  /** False until a named clinician has checked the line against its primary source. */
  readonly checked: boolean;
}

/** A dose being written. `null` = not known or not applicable. Amount in `unit`, volume in mL. */
export interface DoseDraft {
  readonly intervention: string;
  readonly amount: number | null;
  readonly unit: string | null;
  readonly concentration: string | null;
  readonly volumeMl: number | null;
  readonly route: string | null;
  readonly site: string | null;
  readonly flowLPerMin: number | null;
  readonly givenBy: string | null;
  readonly weightUsedKg: number | null;
  /** How an automatic injector was used; null = as it should be. */
  readonly deviceUse: DeviceUse | null;
}

/** Pack tolerances: at or above `high` x, or at or below `low` x, the suggested dose is called out. */
export interface DoseLimits {
  readonly high: number;
  readonly low: number;
}

/** One inline caution about a draft. Never a refusal. */
export interface DoseWarning {
  readonly code: 'dose.far-above' | 'dose.far-below' | 'dose.over-limit' | 'dose.missing';
  readonly message: string;
}

export const CAUTION = 'Training only, not for patient care. Local guidelines and licensed practice prevail.';

/** The strength with this label, if the intervention comes in it. */
export function concentrationOf(item: Intervention, label: string | null): Concentration | undefined {
  return item.concentrations?.find((each) => each.label === label);
}

/** Rounded past any floating dust, so 0.3 mL never shows as 0.30000000000000004. */
function tidy(value: number): number {
  return Number(value.toPrecision(6));
}

function volumeFor(item: Intervention, label: string | null, amount: number | null): number | null {
  if (amount === null) return null;
  if (item.unit === 'mL') return amount;
  const strength = concentrationOf(item, label);
  return strength ? tidy((amount / strength.amount) * strength.perMl) : null;
}

/** A draft from the pack's suggestion, or an empty one when the pack says nothing; for a dose, with the weight the team works with. */
export function draftFor(item: Intervention, pack: PackDose | null, teamKg: number | null = null): DoseDraft {
  const concentration = pack?.concentration ?? item.concentrations?.[0]?.label ?? null;
  const amount = pack?.amount ?? null;
  return {
    intervention: item.id,
    amount,
    unit: item.unit ?? null,
    concentration,
    volumeMl: volumeFor(item, concentration, amount),
    route: item.route ?? item.routes?.[0] ?? null,
    // Where it went is for the eye: what nobody said or saw is not logged.
    site: null,
    flowLPerMin: item.oxygen?.flowLPerMin ?? null,
    givenBy: null,
    weightUsedKg: isDosed(item) ? teamKg : null,
    deviceUse: null,
  };
}

/** Read a typed number: "300", "0.3", "0,3". Empty is null (not known). Anything else is an error in words. */
export function readAmount(text: string): { readonly value: number | null } | { readonly error: string } {
  const trimmed = text.trim().replace(',', '.');
  if (trimmed === '') return { value: null };
  if (!/^-?\d*\.?\d+$|^-?\d+\.$/.test(trimmed))
    return { error: `"${text.trim()}" is not a number. Write it like 0.3 or 300.` };
  const value = Number(trimmed);
  if (value < 0) return { error: 'A dose cannot be less than zero.' };
  if (value > 1_000_000) return { error: 'That is more than can be logged (1 000 000).' };
  return { value };
}

/** The draft with a new amount; its volume follows. */
export function withAmount(item: Intervention, draft: DoseDraft, amount: number | null): DoseDraft {
  return { ...draft, amount, volumeMl: volumeFor(item, draft.concentration, amount) };
}

/** The draft with a new volume; its amount follows from the strength. Without a strength the amount is not known. */
export function withVolume(item: Intervention, draft: DoseDraft, volumeMl: number | null): DoseDraft {
  if (item.unit === 'mL') return { ...draft, amount: volumeMl, volumeMl };
  const strength = concentrationOf(item, draft.concentration);
  if (!strength) return { ...draft, volumeMl };
  return { ...draft, volumeMl, amount: volumeMl === null ? null : tidy((volumeMl / strength.perMl) * strength.amount) };
}

/** The draft in another strength: the amount stands, the volume changes. */
export function withConcentration(item: Intervention, draft: DoseDraft, label: string | null): DoseDraft {
  return { ...draft, concentration: label, volumeMl: volumeFor(item, label, draft.amount) };
}

/** A typed amount from the search box laid over a draft. Units convert only where that is exact. */
export function withTyped(item: Intervention, draft: DoseDraft, value: number, unit: string | null): DoseDraft {
  if (unit === null || unit === item.unit) return withAmount(item, draft, value);
  if (unit === 'mL') return withVolume(item, draft, value);
  const perUnit: Readonly<Record<string, number>> = { micrograms: 1, mg: 1000, g: 1_000_000 };
  const from = perUnit[unit];
  const to = item.unit === undefined ? undefined : perUnit[item.unit];
  return from === undefined || to === undefined ? draft : withAmount(item, draft, tidy((value * from) / to));
}

/** "300 micrograms". */
export function amountText(amount: number | null, unit: string | null): string {
  if (amount === null) return 'amount not known';
  return unit === null ? plainNumber(amount) : `${plainNumber(amount)} ${unit}`;
}

/**
 * "300 micrograms = 0.3 mL of 1 mg/mL", "135 micrograms/h = 13.5 mL/h of 10 micrograms/mL": the volume never stands without its
 * strength, nor an infusion without its time.
 */
export function doseText(
  draft: Pick<DoseDraft, 'amount' | 'unit' | 'concentration' | 'volumeMl'>,
  item: Pick<Intervention, 'unit' | 'ratePer'>,
): string {
  const amount = amountText(draft.amount, doseUnit(item, draft.unit) || null);
  if (draft.volumeMl === null || draft.concentration === null || draft.unit === 'mL') return amount;
  return `${amount} = ${plainNumber(draft.volumeMl)} ${doseUnit(item, 'mL')} of ${draft.concentration}`;
}

/** Inline cautions about a draft, before it is logged. The server says its own afterwards. */
export function draftWarnings(
  item: Intervention,
  draft: DoseDraft,
  pack: PackDose | null,
  limits: DoseLimits,
  weightKg: number,
): readonly DoseWarning[] {
  const warnings: DoseWarning[] = [];
  if (!isDosed(item) || draft.amount === null) return warnings;
  const given = amountText(draft.amount, doseUnit(item, draft.unit) || null);
  const high = pack ? (pack.amountHigh ?? pack.amount) : 0;
  if (pack && high > 0 && draft.amount >= high * limits.high) {
    warnings.push({
      code: 'dose.far-above',
      message: `${given} is ${plainNumber(draft.amount / high, 1)} times the pack's ${amountText(high, pack.unit)}.`,
    });
  } else if (pack && pack.amount > 0 && draft.amount <= pack.amount * limits.low) {
    const share = draft.amount === 0 ? 'none' : `1/${plainNumber(pack.amount / draft.amount, 1)}`;
    warnings.push({
      code: 'dose.far-below',
      message: `${given} is ${share} of the pack's ${amountText(pack.amount, pack.unit)}.`,
    });
  }
  const perKg = item.warnAbove?.perKg === undefined ? null : item.warnAbove.perKg * weightKg;
  const total = item.warnAbove?.total ?? null;
  const bound = perKg === null ? total : total === null ? perKg : Math.min(perKg, total);
  if (warnings.length === 0 && bound !== null && draft.amount > bound) {
    warnings.push({
      code: 'dose.over-limit',
      message: `${given} is above ${amountText(tidy(bound), doseUnit(item) || null)}, the most expected for ${plainNumber(weightKg)} kg.`,
    });
  }
  return warnings;
}

/** The event a draft makes. Amount and strength are left out where they do not apply. */
export function draftBody(
  item: Intervention,
  draft: DoseDraft,
  step: DoseStep,
  doseSeen: boolean,
): Extract<EventBody, { kind: 'intervention' }> {
  return {
    kind: 'intervention',
    intervention: item.id,
    step,
    amount: isDosed(item) ? draft.amount : null,
    ...(isDosed(item) && draft.unit !== null ? { unit: draft.unit } : {}),
    ...(draft.concentration !== null ? { concentration: draft.concentration } : {}),
    ...(isDosed(item) && draft.volumeMl !== null ? { volumeMl: draft.volumeMl } : {}),
    ...(draft.route !== null ? { route: draft.route } : {}),
    ...(draft.site !== null ? { site: draft.site } : {}),
    ...(draft.flowLPerMin !== null ? { flowLPerMin: draft.flowLPerMin } : {}),
    ...(draft.givenBy !== null ? { givenBy: draft.givenBy } : {}),
    ...(draft.weightUsedKg !== null ? { weightUsedKg: draft.weightUsedKg } : {}),
    ...(draft.deviceUse !== null ? { deviceUse: draft.deviceUse } : {}),
    doseSeen,
  };
}

/** The event for anything tapped: an assessment, a device laid on, or an intervention given. */
export function tapBody(
  item: Intervention,
  pack: PackDose | null,
  doseSeen: boolean,
  teamKg: number | null = null,
): EventBody {
  if (item.kind === 'assessment') return { kind: 'assessment', intervention: item.id };
  if (item.kind === 'device' && item.device !== undefined) return { kind: 'device-attached', device: item.device };
  return draftBody(item, draftFor(item, pack, teamKg), 'given', isDosed(item) ? doseSeen : false);
}
