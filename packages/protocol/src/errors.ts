/**
 * Every refusal the server can give, over HTTP (RFC 9457 problem details) and over the socket (`refused`). One place:
 * code, HTTP status, title, and how to mend it. `ERRORS.md` has one heading for each code; a test holds the two together.
 * A code is never reused for another meaning.
 */
export interface ErrorEntry {
  readonly status: number;
  readonly title: string;
  readonly hint: string;
}

export const ERRORS = {
  'bad-json': {
    status: 400,
    title: 'That is not JSON',
    hint: 'Send one JSON object in UTF-8.',
  },
  'too-large': {
    status: 413,
    title: 'That is larger than the server accepts',
    hint: 'Socket messages may be 64 KB; a picture 6 MB; an imported run 32 MB.',
  },
  'unknown-message': {
    status: 400,
    title: 'There is no such message',
    hint: 'A screen sends `join`, `command` or `ping`.',
  },
  'unknown-command': {
    status: 400,
    title: 'There is no such command',
    hint: 'Reload the page: this screen may be older than the server.',
  },
  'bad-shape': {
    status: 400,
    title: 'A field is missing, extra or of the wrong kind',
    hint: 'See the message for the field and what was expected.',
  },
  'not-joined': {
    status: 401,
    title: 'This screen has not joined a run',
    hint: 'Send `join` with a fresh ticket first.',
  },
  'already-joined': {
    status: 409,
    title: 'This screen has joined already',
    hint: 'Open another connection to join again.',
  },
  'bad-ticket': {
    status: 401,
    title: 'That ticket is used up, expired or unknown',
    hint: 'Ask for a new ticket and connect again; a ticket works once, for 30 seconds.',
  },
  'not-signed-in': {
    status: 401,
    title: 'Faculty only: you are not signed in',
    hint: 'Sign in with the faculty passphrase.',
  },
  'wrong-passphrase': {
    status: 401,
    title: 'That is not the faculty passphrase',
    hint: 'It was shown when the server first started. Check for a missing word; capitals and extra spaces do not matter.',
  },
  'wrong-code': {
    status: 404,
    title: 'No run has that join code',
    hint: 'Six letters and digits for learners, eight for the crew, shown on the faculty console.',
  },
  'too-many-attempts': {
    status: 429,
    title: 'Too many attempts',
    hint: 'Wait a minute and try again.',
  },
  'wrong-role': {
    status: 403,
    title: 'This screen may not do that',
    hint: 'Use the faculty console, or ask who leads. Every screen may stop the run for a real emergency.',
  },
  'foreign-origin': {
    status: 403,
    title: 'The request came from another site',
    hint: 'Open Breathline at the address the server printed.',
  },
  'not-found': {
    status: 404,
    title: 'There is nothing at that address',
    hint: 'Check the address.',
  },
  'no-such-run': {
    status: 404,
    title: 'There is no such run',
    hint: 'Choose a run from the list.',
  },
  'no-such-scenario': {
    status: 404,
    title: 'There is no such scenario',
    hint: 'Choose a scenario from the library; a file with errors is listed there with what is wrong.',
  },
  'no-such-pack': {
    status: 404,
    title: 'There is no such guideline pack',
    hint: 'Choose one of the packs the scenario names.',
  },
  'no-such-rehearsing': {
    status: 404,
    title: 'That is no longer being rehearsed',
    hint: 'Rehearse the scenario again: results are kept for a while only.',
  },
  'rehearsing-enough': {
    status: 429,
    title: 'Several scenarios are waiting to be rehearsed already',
    hint: 'Wait until one is done, then try again.',
  },
  'same-pack-id': {
    status: 409,
    title: 'There is a guideline pack of that name already',
    hint: 'Choose another name.',
  },
  'folder-closed': {
    status: 409,
    title: 'The folder of guideline packs can not be written to',
    hint: 'Download the file instead and put it into the guidelines folder yourself.',
  },
  'wrong-phase': {
    status: 409,
    title: 'That can not be done now',
    hint: 'See the message for what the run is doing.',
  },
  'stale-sequence': {
    status: 409,
    title: 'Someone else acted first',
    hint: 'Look at what changed, then tap again.',
  },
  'number-reused': {
    status: 409,
    title: 'This tap number was used for something else',
    hint: 'Reload the page so that the screen gets a new client id.',
  },
  'unknown-intervention': {
    status: 422,
    title: 'The formulary has no such intervention',
    hint: 'Choose one from the list.',
  },
  'unknown-target': {
    status: 422,
    title: 'The run has nothing by that name',
    hint: 'Choose a state, cue, flag, target or log line that exists in this run.',
  },
  'dose-without-unit': {
    status: 422,
    title: 'The dose has no unit',
    hint: 'Send the unit with the amount.',
  },
  'wrong-unit': {
    status: 422,
    title: 'The dose is in the wrong unit',
    hint: 'Give the amount in a unit that converts to the one named in the message.',
  },
  'not-withdrawable': {
    status: 422,
    title: 'That line of the log can not be withdrawn',
    hint: 'What was given, assessed, attached, noted or steered can be undone; starting, pausing and resuming can not.',
  },
  'bad-import': {
    status: 422,
    title: 'That file is not a Breathline run',
    hint: 'Choose a file made by Export.',
  },
  'bad-photo': {
    status: 422,
    title: 'That is not a picture the server keeps',
    hint: 'Send a whole JPEG, PNG or WebP picture of at most 6 MB.',
  },
  'not-scorable': {
    status: 409,
    title: 'This run can not be scored',
    hint: 'See the message.',
  },
  'not-saved': {
    status: 503,
    title: 'The server could not write to its disk',
    hint: 'Nothing was logged. Free some space or check the data folder, then tap again.',
  },
  'store-refused': {
    status: 502,
    title: 'The statements may not be in the record store',
    hint: 'They are kept here with the run. Send them again: sending twice stores once.',
  },
  'server-fault': {
    status: 500,
    title: 'The server met an error of its own',
    hint: 'Try again; if it goes on, see the server window for the details.',
  },
} as const satisfies Record<string, ErrorEntry>;

export type ErrorCode = keyof typeof ERRORS;

/** A refusal as data: the code, what happened in this case, and how to mend it. */
export interface Problem {
  readonly code: ErrorCode;
  readonly message: string;
  readonly hint: string;
}

/** RFC 9457 body. */
export interface ProblemBody {
  readonly type: string;
  readonly title: string;
  readonly status: number;
  readonly detail: string;
  readonly code: ErrorCode;
  readonly hint: string;
  /** For `stale-sequence`: the run's sequence now. */
  readonly currentSeq?: number;
}

/** Builds a refusal; the catalogue's hint unless a better one is known. */
export const problem = (code: ErrorCode, message?: string, hint?: string): Problem => ({
  code,
  message: message ?? ERRORS[code].title,
  hint: hint ?? ERRORS[code].hint,
});

/** The problem-details body of a refusal. */
export const problemBody = (p: Problem, extra: { readonly currentSeq?: number } = {}): ProblemBody => ({
  type: 'about:blank',
  title: ERRORS[p.code].title,
  status: ERRORS[p.code].status,
  detail: p.message,
  code: p.code,
  hint: p.hint,
  ...extra,
});
