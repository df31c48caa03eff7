/** What the patient model understands, as the checker needs it: ids, ranges and units. */
import { DISEASES, DRIVES, EFFECTS, PROCEDURES, UNCERTAIN } from '@breathline/patient';

export interface DriveWord {
  readonly min: number;
  readonly max: number;
  readonly unit: string;
}

/** Drives by id, with their range. */
export const MODEL_DRIVES: ReadonlyMap<string, DriveWord> = new Map(Object.entries(DRIVES));

/** Unit in which each effect counts doses. */
export const MODEL_EFFECTS: ReadonlyMap<string, { readonly unit: string }> = new Map(Object.entries(EFFECTS));

export const MODEL_PROCEDURES: ReadonlySet<string> = new Set(Object.keys(PROCEDURES));

/** Patterns of each disease. */
export const MODEL_DISEASES: ReadonlyMap<string, readonly string[]> = new Map(
  Object.entries(DISEASES).map(([id, disease]) => [id, Object.keys(disease.patterns)]),
);

export const MODEL_CONSTANTS: ReadonlyMap<string, { readonly low: number; readonly high: number }> = new Map(
  UNCERTAIN.map((constant) => [constant.id, constant]),
);
