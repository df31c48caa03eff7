/** The few places where the patient package's grades meet the engine's numbers. */
import { GRADES, readSign } from '@breathline/patient';
import type { Grade, PatientModel, PatientState, SignId } from '@breathline/patient';

export const GRADE_LIST: readonly Grade[] = GRADES;

export function gradeIndex(grade: Grade): number {
  const index = GRADES.indexOf(grade);
  return index < 0 ? 0 : index;
}

/** Grade of a sign now, 0 (none) to 4 (severe). */
export function readSignIndex(model: PatientModel, state: PatientState, sign: SignId): number {
  const grade: Grade | number = readSign(model, state, sign);
  return typeof grade === 'number' ? grade : gradeIndex(grade);
}
