/** The chosen pack's dose for this patient, in the console's words. The arithmetic is the scenario package's. */
import { suggestDose } from '@breathline/scenario';
import type { RunDefinition } from '@breathline/engine';
import type { Intervention, Source } from '@breathline/scenario';
import type { PackDose } from './dose.ts';

/** Where a dose was published, in one line. */
export function sourceText(source: Source): string {
  return [source.organisation, source.document, source.edition, source.section]
    .filter((part) => part !== undefined && part !== '')
    .join(', ');
}

/** The suggestion for an intervention from the run's pack (else the formulary), or null when there is none. */
export function suggestedDose(
  definition: RunDefinition,
  item: Intervention,
  ageYears: number,
  weightKg: number,
): PackDose | null {
  const dose = suggestDose({
    library: definition.library,
    packId: definition.packId,
    intervention: item.id,
    ageYears,
    weightKg,
  });
  if (!dose) return null;
  return {
    amount: dose.amount,
    amountHigh: dose.amountHigh ?? null,
    unit: dose.ratePer ? `${dose.unit}/${dose.ratePer}` : dose.unit,
    concentration: dose.concentration?.label ?? null,
    volumeMl: dose.volumeMl,
    text: dose.text,
    basis: dose.because,
    note: dose.note ?? null,
    fromPack: dose.packId !== null,
    source: dose.source ? sourceText(dose.source) : '',
    checked: dose.source?.checkedBy !== undefined,
  };
}
