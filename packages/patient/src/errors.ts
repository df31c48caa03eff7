/** What went wrong, for programs. */
export type PatientErrorCode =
  | 'unknown-drive'
  | 'unknown-effect'
  | 'unknown-route'
  | 'unknown-site'
  | 'unknown-device'
  | 'unknown-posture'
  | 'unknown-procedure'
  | 'unknown-disease'
  | 'unknown-pattern'
  | 'unknown-constant'
  | 'unknown-baseline'
  | 'unknown-input'
  | 'unknown-steer'
  | 'unknown-vital'
  | 'unknown-sign'
  | 'bad-number'
  | 'wrong-state';

/** Thrown for input the patient cannot take. The patient is unchanged: nothing is ever half applied. */
export class PatientError extends Error {
  override readonly name = 'PatientError';
  constructor(
    readonly code: PatientErrorCode,
    /** What was found. */
    readonly found: string,
    /** What would have been accepted, and how to mend it. */
    readonly expected: string,
  ) {
    super(`${code}: found ${found}; expected ${expected}`);
  }
}

/** Throws unless v is finite and within lo..hi. */
export function requireNumber(name: string, v: unknown, lo: number, hi: number): number {
  if (typeof v !== 'number' || !(v >= lo && v <= hi) || v === Infinity || v === -Infinity) {
    throw new PatientError('bad-number', `${name} = ${String(v)}`, `a number from ${lo} to ${hi}`);
  }
  return v;
}

/** Throws an error that lists the known ids, nearest first. */
export function unknownId(code: PatientErrorCode, found: unknown, known: readonly string[]): PatientError {
  return new PatientError(code, `"${String(found)}"`, `one of ${known.join(', ')}`);
}
