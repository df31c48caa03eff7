/** Inline cautions about a dose: what is unusual is said at once, and logged as given all the same. */
import type { EventBody, RunDefinition } from '@breathline/engine';
import type { Intervention } from '@breathline/scenario';
import { allowedDose } from '@breathline/debrief';

export interface Warning {
  readonly code: string;
  readonly message: string;
}

/** At most four significant figures, never a trailing zero. */
const amount = (value: number): string => String(Number(value.toPrecision(4)));

export const doseWarnings = (
  intervention: Intervention,
  body: Extract<EventBody, { kind: 'intervention' }>,
  definition: RunDefinition,
): Warning[] => {
  if (body.amount === null || intervention.unit === undefined) return [];
  const given = body.amount;
  const unit = intervention.unit;
  const patient = { ...definition.scenario.patient, ...definition.patient };
  const warnings: Warning[] = [];
  if (given === 0)
    warnings.push({ code: 'dose-zero', message: `${intervention.name}: 0 ${unit} logged; nothing was given.` });

  const most = Math.min(
    intervention.warnAbove?.total ?? Infinity,
    (intervention.warnAbove?.perKg ?? Infinity) * patient.weightKg,
  );
  if (given > most) {
    warnings.push({
      code: 'dose-high',
      message: `${intervention.name}: ${amount(given)} ${unit} is above ${amount(most)} ${unit}. Logged as given.`,
    });
  }

  const pack = definition.library.packs.find(({ id }) => id === definition.packId);
  const rule = pack?.doses.find((dose) => dose.intervention === intervention.id);
  const expected = rule && allowedDose(rule, patient.ageYears, patient.weightKg);
  if (expected && given > 0) {
    const times = given > expected.high ? given / expected.high : given / expected.low;
    if (times >= 5 || times <= 0.2) {
      const tenfold = Math.abs(times - 10) < 0.5 || Math.abs(times - 0.1) < 0.005;
      const usual =
        expected.low === expected.high ? amount(expected.low) : `${amount(expected.low)} to ${amount(expected.high)}`;
      warnings.push({
        code: tenfold ? 'dose-tenfold' : times > 1 ? 'dose-far-above-pack' : 'dose-far-below-pack',
        message: `${intervention.name}: ${amount(given)} ${unit} is ${amount(times)} times the pack's ${usual} ${unit}. Logged as given.`,
      });
    }
  }
  if (body.volumeMl !== undefined && body.volumeMl !== null && body.volumeMl < 0) {
    warnings.push({
      code: 'volume-negative',
      message: `${intervention.name}: the volume is below zero; only the amount counts.`,
    });
  }
  return warnings;
};
