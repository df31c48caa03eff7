/** Something the caller asked for that the engine cannot do. Words for people; branch on `code`. */
export class EngineError extends Error {
  override readonly name = 'EngineError';
  constructor(
    /** Stable, for programs. */
    readonly code: EngineErrorCode,
    message: string,
    /** How to mend it. */
    readonly hint?: string,
  ) {
    super(message);
  }
}

export type EngineErrorCode =
  | 'event-time-not-on-a-step'
  | 'event-in-the-past'
  | 'event-occurs-after-applied'
  | 'event-number-taken'
  | 'event-malformed'
  | 'take-unknown'
  | 'take-not-possible'
  | 'definition-unusable'
  | 'export-malformed'
  | 'export-not-a-run'
  | 'export-version-unknown'
  | 'edit-unknown-event'
  | 'edit-not-allowed'
  | 'rehearsal-unknown'
  | 'rehearsal-unusable';
