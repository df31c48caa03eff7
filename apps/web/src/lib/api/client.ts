/**
 * The HTTP side of the server, typed. Every function throws ApiError and nothing else; `OFFLINE` when no answer came.
 */
import type { Library, RunDefinition, RunExport, Scenario } from './shapes.ts';
import type { AckMessage, CommandMessage, CrewRole, Diagnostic, JoinAnswer } from './shapes.ts';
import type { RunCard, ScenarioCard, Scorecard } from './shapes.ts';
import type {
  LogAnswer,
  NetworkAnswer,
  OpenProblem,
  ReadyAnswer,
  ScoresAnswer,
  SiteSettings,
  WhyAnswer,
} from './shapes.ts';
import { offlineError, problemToError } from './errors.ts';

const TIMEOUT_MS = 15_000;

/**
 * One call. `body` is sent as JSON; an empty answer gives `undefined`. `pass`: a crew phone's, in place of a sign-in. `signal`
 * lets go of it before its time.
 */
export async function call<T>(
  method: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE',
  path: string,
  body?: unknown,
  pass?: string,
  signal?: AbortSignal,
): Promise<T> {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), TIMEOUT_MS);
  signal?.addEventListener('abort', () => stop.abort(), { once: true });
  let response: Response;
  let text: string;
  try {
    response = await fetch(path, {
      method,
      credentials: 'same-origin',
      cache: 'no-store',
      signal: stop.signal,
      headers: {
        accept: 'application/json',
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...(pass === undefined ? {} : { authorization: `Bearer ${pass}` }),
      },
      body: body === undefined ? undefined : JSON.stringify(body),
    });
    text = await response.text();
  } catch {
    throw offlineError();
  } finally {
    clearTimeout(timer);
  }
  // A proxy in front of a dead server answers for it.
  if ([502, 503, 504].includes(response.status) && !text.includes('"code"')) throw offlineError();
  let parsed: unknown;
  try {
    parsed = text === '' ? undefined : JSON.parse(text);
  } catch {
    parsed = undefined;
  }
  if (!response.ok) throw problemToError(response.status, parsed);
  if (text !== '' && parsed === undefined) throw offlineError();
  return parsed as T;
}

const seg = encodeURIComponent;

/** A run to be made. `ward`: one of the site's; `team`: a pseudonym; `repeatOf`: the run it goes over again, unscored. */
export interface NewRunWish {
  readonly scenarioId: string;
  readonly packId: string;
  readonly weightKg?: number;
  readonly ward?: string;
  readonly team?: string;
  readonly scored?: boolean;
  readonly repeatOf?: string;
  /** One word of the story for another. */
  readonly swap?: { readonly from: string; readonly to: string };
}

/** Every call the screens make. */
export const api = {
  login: (passphrase: string) => call<undefined>('POST', '/api/login', { passphrase }),
  logout: () => call<undefined>('POST', '/api/logout', {}),
  me: (signal?: AbortSignal) => call<{ role: 'faculty' | null }>('GET', '/api/me', undefined, undefined, signal),
  health: () => call<{ ok: true; version: string }>('GET', '/api/health'),
  scenarios: () =>
    call<{ scenarios: ScenarioCard[]; broken: { file: string; errors: Diagnostic[] }[] }>('GET', '/api/scenarios'),
  scenario: (id: string) =>
    call<{ scenario: Scenario; warnings: Diagnostic[]; text: string }>('GET', `/api/scenarios/${seg(id)}`),
  library: () => call<Library>('GET', '/api/library'),
  createRun: (wish: NewRunWish) => call<{ runId: string; joinCode: string }>('POST', '/api/runs', wish),
  runs: () => call<{ runs: RunCard[] }>('GET', '/api/runs'),
  run: (id: string, signal?: AbortSignal) =>
    call<{ run: RunCard; definition: RunDefinition }>('GET', `/api/runs/${seg(id)}`, undefined, undefined, signal),
  ticket: (id: string, signal?: AbortSignal) =>
    call<{ ticket: string }>('POST', `/api/runs/${seg(id)}/ticket`, {}, undefined, signal),
  command: (id: string, message: CommandMessage) => call<AckMessage>('POST', `/api/runs/${seg(id)}/commands`, message),
  export: (id: string) => call<RunExport>('GET', `/api/runs/${seg(id)}/export`),
  /** What the log has gained after a line, and the server's wall clock. */
  logAfter: (id: string, after: number) => call<LogAnswer>('GET', `/api/runs/${seg(id)}/log?after=${after}`),
  importRun: (run: unknown) => call<{ runId: string }>('POST', '/api/runs/import', run),
  scorecard: (id: string, packId?: string) =>
    call<Scorecard>('GET', `/api/runs/${seg(id)}/scorecard${packId ? `?pack=${seg(packId)}` : ''}`),
  explain: (id: string, vital: WhyAnswer['vital']) =>
    call<WhyAnswer>('GET', `/api/runs/${seg(id)}/explain?vital=${seg(vital)}`),
  scores: (id: string) => call<ScoresAnswer>('GET', `/api/runs/${seg(id)}/scores`),
  /** Learners' code: a monitor. Crew's code: whatever part is asked for, an observer if none. */
  join: (code: string, as?: CrewRole, signal?: AbortSignal) =>
    call<JoinAnswer>('POST', '/api/join', as === undefined ? { code } : { code, as }, undefined, signal),
  site: () => call<SiteSettings>('GET', '/api/site'),
  saveSite: (settings: SiteSettings) => call<SiteSettings>('PUT', '/api/site', settings),
  ready: () => call<ReadyAnswer>('GET', '/api/ready'),
  /** By which addresses other devices open the server. */
  network: () => call<NetworkAnswer>('GET', '/api/network'),
  /** System problems of a ward that nobody has closed. A server that keeps no such register answers 404. */
  problems: (ward: string) => call<{ problems: OpenProblem[] }>('GET', `/api/problems?ward=${seg(ward)}&open=yes`),
  /** What a logger's console needs, by the pass that came with the join. */
  crewDefinition: (pass: string, signal?: AbortSignal) =>
    call<RunDefinition>('GET', '/api/crew/definition', undefined, pass, signal),
};
