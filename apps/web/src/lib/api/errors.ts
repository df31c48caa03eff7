/** What went wrong, for people: a stable code, what happened, and how to mend it. */
export class ApiError extends Error {
  override readonly name = 'ApiError';
  constructor(
    readonly code: string,
    readonly title: string,
    readonly detail: string,
    readonly hint?: string,
    /** HTTP status; 0 when no answer came. */
    readonly status = 0,
  ) {
    super(`${code}: ${detail}`);
  }
}

/** No answer at all: the network or the server is away. */
export function offlineError(): ApiError {
  return new ApiError(
    'OFFLINE',
    'The server did not answer',
    'This screen could not reach the Breathline server.',
    'Check that this device is on the same network and that Breathline is running, then try again.',
  );
}

/** This screen and the server speak different versions: only loading the page again helps. */
export function isOutOfDate(problem: ApiError | null): boolean {
  return problem?.code === 'PROTOCOL_MISMATCH';
}

/** Any thrown value as an ApiError, so that every failure can be shown the same way. */
export function asApiError(thrown: unknown): ApiError {
  if (thrown instanceof ApiError) return thrown;
  // A browser's own words are for whoever looks into it, not for whoever reads the page.
  console.error(thrown);
  if (/dynamically imported module|importing a module script/i.test(String(thrown))) return offlineError();
  return new ApiError(
    'SCREEN_FAULT',
    'Something went wrong on this screen',
    'A part of this page failed.',
    'Load the page again. What the server acknowledged is safe.',
  );
}

/** What was wrong and how to mend it, in one line. */
export function wordsOf({ detail, hint }: ApiError): string {
  return hint ? `${detail} ${hint}` : detail;
}

/** Ends a sentence that was left open, so that what follows it reads on. */
export function sentence(text: string): string {
  return /[.!?…:”"]$/.test(text.trim()) ? text.trim() : `${text.trim()}.`;
}

/** Reads an RFC 9457 problem body; falls back to words built from the status when the body is not one. */
export function problemToError(status: number, body: unknown): ApiError {
  const problem = typeof body === 'object' && body !== null ? (body as Record<string, unknown>) : {};
  const text = (key: string): string | undefined => {
    const value = problem[key];
    return typeof value === 'string' && value !== '' ? value : undefined;
  };
  const failed = status >= 500;
  const title =
    text('title') ?? (status === 401 ? 'Not signed in' : failed ? 'The server failed' : 'The server would not do it');
  return new ApiError(
    text('code') ?? `HTTP_${status}`,
    title,
    sentence(text('detail') ?? (failed ? 'Something failed on the server. What it had kept before is safe' : title)),
    text('hint') ??
      (status === 401
        ? 'Sign in with the faculty passphrase.'
        : failed
          ? 'Try again; if it goes on, look at the server’s own window.'
          : undefined),
    status,
  );
}
