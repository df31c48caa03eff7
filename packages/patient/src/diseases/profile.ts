/** From the illnesses of a profile to a flat table the step can read without looking anything up by name. */
import { PatientError, requireNumber, unknownId } from '../errors.ts';
import type { PatientProfile } from '../types.ts';
import { DISEASES } from './catalogue.ts';
import { MECHANISMS } from './mechanisms.ts';
import { DISEASE_ORDER, OTHER_DISEASES } from './patterns.ts';
import type { DiseasePattern } from './patterns.ts';

/** Columns of one disease's row. */
export const R_SEVERITY = 0;
export const R_TEMPO = 1;
/** Minutes before time zero at which it began. */
export const R_ALREADY = 2;
export const R_RISE = 3;
/** 0 = does not fade. */
export const R_FADE = 4;
/** -1 left, 0 both, 1 right. */
export const R_SIDE = 5;
export const R_OBJECT = 6;
export const R_AIR = 7;
export const R_WATER = 8;
export const R_UNMATCHING = 9;
export const R_CLOSED = 10;
export const R_NARROW = 11;
export const R_VESSELS = 12;
/** First of the weights. */
export const R_WEIGHTS = 13;
export const ROW = R_WEIGHTS + MECHANISMS.length;

export interface Illness {
  /** Anaphylaxis, whose own equations stand apart. */
  readonly reaction: {
    pattern: string;
    severity: number;
    tempo: number;
    already: number;
    /** Minutes until a second wave the author asked for; 0 = the pattern's own. */
    returnsAfter: number;
  };
  /** Rows of all other diseases, in `DISEASE_ORDER`; a disease the profile does not name has severity 0. */
  readonly rows: Float64Array;
  /** Minutes before time zero from which something runs. */
  readonly prelude: number;
  /** What the patient lives with. */
  readonly chronic: NonNullable<DiseasePattern['chronic']> | undefined;
}

/** Checks and lays out the illnesses of a profile. Throws PatientError for unknown ids and numbers out of range. */
export function illnessOf(profile: PatientProfile): Illness {
  const rows = new Float64Array(ROW * DISEASE_ORDER.length);
  DISEASE_ORDER.forEach((id, i) => fill(rows, i, OTHER_DISEASES[id].patterns[OTHER_DISEASES[id].usualPattern]!));
  const reaction = { pattern: 'food', severity: 0, tempo: 1, already: 0, returnsAfter: 0 };
  let prelude = 0;
  let chronic: Illness['chronic'];
  for (const illness of profile.illness ?? []) {
    const disease = Object.hasOwn(DISEASES, illness.disease) ? DISEASES[illness.disease] : undefined;
    if (!disease) throw unknownId('unknown-disease', illness.disease, Object.keys(DISEASES));
    const name = illness.pattern ?? disease.usualPattern;
    if (!Object.hasOwn(disease.patterns, name)) throw unknownId('unknown-pattern', name, Object.keys(disease.patterns));
    if (illness.severity !== undefined) requireNumber('severity', illness.severity, 0, 1);
    if (illness.tempo !== undefined) requireNumber('tempo', illness.tempo, 0.1, 5);
    const severity = illness.severity ?? 1;
    const tempo = illness.tempo ?? 1;
    const already =
      illness.startedMinutesAgo === undefined
        ? 0
        : requireNumber('startedMinutesAgo', illness.startedMinutesAgo, 0, 30);
    prelude = Math.max(prelude, already);
    if (illness.returnsAfterMinutes !== undefined && illness.disease !== 'anaphylaxis')
      throw new PatientError(
        'bad-number',
        `a return of ${illness.disease} after ${String(illness.returnsAfterMinutes)} min`,
        'a return only in anaphylaxis; other illnesses are driven by the scenario',
      );
    if (illness.disease === 'anaphylaxis') {
      const returnsAfter =
        illness.returnsAfterMinutes === undefined
          ? 0
          : requireNumber('returnsAfterMinutes', illness.returnsAfterMinutes, 1, 4320);
      Object.assign(reaction, { pattern: name, severity, tempo, already, returnsAfter });
      continue;
    }
    const id = illness.disease as (typeof DISEASE_ORDER)[number];
    const pattern = OTHER_DISEASES[id].patterns[name]!;
    const i = DISEASE_ORDER.indexOf(id);
    fill(rows, i, pattern);
    rows[ROW * i + R_SEVERITY] = severity;
    rows[ROW * i + R_TEMPO] = tempo;
    rows[ROW * i + R_ALREADY] = already;
    if (pattern.chronic) chronic = pattern.chronic;
  }
  return { reaction, rows, prelude, chronic };
}

function fill(rows: Float64Array, disease: number, pattern: DiseasePattern): void {
  const at = ROW * disease;
  rows[at + R_TEMPO] = 1;
  rows[at + R_RISE] = pattern.riseMin;
  rows[at + R_FADE] = pattern.fadeMin ?? 0;
  rows[at + R_SIDE] = pattern.side === 'left' ? -1 : pattern.side === 'right' ? 1 : 0;
  rows[at + R_OBJECT] = pattern.object ?? 0;
  rows[at + R_AIR] = pattern.air ?? 0;
  rows[at + R_WATER] = pattern.water ?? 0;
  rows[at + R_UNMATCHING] = pattern.chronic?.unmatching ?? 0;
  rows[at + R_CLOSED] = pattern.lung?.closed ?? 0;
  rows[at + R_NARROW] = pattern.lung?.narrow ?? 0;
  rows[at + R_VESSELS] = pattern.lung?.vessels ?? 0;
  MECHANISMS.forEach((id, k) => {
    rows[at + R_WEIGHTS + k] = pattern.weights[id] ?? 0;
  });
}
