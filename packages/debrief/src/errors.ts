/** A run that can't be scored, with a stable code and how to mend it. Thrown only for a wrong request, never for odd data. */
export class DebriefError extends Error {
  readonly code: 'unknown-pack';
  readonly hint: string;
  constructor(code: DebriefError['code'], message: string, hint: string) {
    super(message);
    this.name = 'DebriefError';
    this.code = code;
    this.hint = hint;
  }
}
