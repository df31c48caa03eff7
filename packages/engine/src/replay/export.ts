/** A finished run as one self-contained JSON file, and the check of such a file when it comes back. */
import { EngineError } from '../errors.ts';
import type { Derived, RunDefinition, RunEvent, RunExport, TrackRow } from '../types.ts';
import { CAUTION, ENGINE_VERSION } from '../version.ts';
import { eventsAboutTake, keptOfTake } from '../run/withdraw.ts';
import { replay } from './replay.ts';

export interface ExportParts {
  readonly runId: string;
  /** ISO 8601 UTC; a label only. */
  readonly createdAt: string;
  readonly definition: RunDefinition;
  readonly events: readonly RunEvent[];
  /** As kept while the run was live. Left out, both come from a replay. */
  readonly derived?: readonly Derived[];
  readonly track?: readonly TrackRow[];
  readonly scenarioText?: string;
  /** Default: the last take. */
  readonly scoredTake?: number;
}

/** Builds the export. The track and derived facts are frozen into it: scores read those and nothing is recomputed. */
export function buildExport(parts: ExportParts): RunExport {
  const replayed =
    parts.derived === undefined || parts.track === undefined ? replay(parts.definition, parts.events) : null;
  return {
    format: 'breathline-run',
    formatVersion: 1,
    caution: CAUTION,
    engineVersion: ENGINE_VERSION,
    runId: parts.runId,
    createdAt: parts.createdAt,
    definition: parts.definition,
    ...(parts.scenarioText === undefined ? {} : { scenarioText: parts.scenarioText }),
    events: parts.events,
    derived: parts.derived ?? replayed!.derived,
    track: parts.track ?? replayed!.track,
    scoredTake: parts.scoredTake ?? parts.events.reduce((take, event) => Math.max(take, event.take), 1),
  };
}

/**
 * One take of a run (default the scored one) as if it had been the only one: its events, with what its parents had until it
 * began, the answers and judgements about it, and the facts and rows that belong to it. Withdrawn events stay in, with what withdrew them. A run of one take
 * comes back as it is.
 */
export function exportOfTake(run: RunExport, take: number = run.scoredTake): RunExport {
  const wound = run.events.some((event) => event.kind === 'wound-back');
  if (!wound && run.events.every((event) => event.take === take)) return run;
  return {
    ...run,
    scoredTake: take,
    events: eventsAboutTake(run.events, take),
    derived: keptOfTake(run.derived, run.events, take),
    track: keptOfTake(run.track, run.events, take),
  };
}

type Json = Record<string, unknown>;

const isObject = (value: unknown): value is Json =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

function fail(message: string, hint?: string): never {
  throw new EngineError('export-malformed', message, hint ?? 'Export the run again from where it was made.');
}

function need(object: Json, key: string, type: 'string' | 'number' | 'object' | 'array', where: string): unknown {
  const value = object[key];
  const found = Array.isArray(value) ? 'array' : value === null ? 'nothing' : typeof value;
  if (found !== type || (type === 'number' && !Number.isFinite(value as number))) {
    const what = found === 'undefined' ? 'nothing' : found;
    fail(`${where}.${key} should be ${type === 'array' || type === 'object' ? 'an' : 'a'} ${type}; found ${what}`);
  }
  return value;
}

/** Largest file taken, in events and in seconds: far beyond any drill, small enough to load at once. */
const MOST_EVENTS = 100_000;
const MOST_ROWS = 100_000;
const LONGEST_MS = 24 * 3_600_000;

/**
 * Checks that parsed JSON (or its text) is an exported run that this engine can read. Throws EngineError in words for
 * people; never half-accepts. Unknown extra keys are kept.
 */
export function checkExport(input: unknown): RunExport {
  let json = input;
  if (typeof json === 'string') {
    try {
      json = JSON.parse(json) as unknown;
    } catch (error) {
      throw new EngineError(
        'export-not-a-run',
        `this is not JSON (${error instanceof Error ? error.message : String(error)})`,
        'Choose a run exported as a .json file.',
      );
    }
  }
  if (!isObject(json) || json['format'] !== 'breathline-run') {
    throw new EngineError(
      'export-not-a-run',
      'this is not an exported run: it lacks "format": "breathline-run"',
      'Choose a run exported as a .json file.',
    );
  }
  if (json['formatVersion'] !== 1) {
    throw new EngineError(
      'export-version-unknown',
      `this run is in format version ${JSON.stringify(json['formatVersion'])}; this program reads version 1`,
      'Open it with the version that wrote it, or a newer one.',
    );
  }
  need(json, 'runId', 'string', 'run');
  need(json, 'createdAt', 'string', 'run');
  need(json, 'engineVersion', 'string', 'run');
  need(json, 'scoredTake', 'number', 'run');
  checkDefinition(need(json, 'definition', 'object', 'run') as Json);
  checkEvents(need(json, 'events', 'array', 'run') as unknown[]);
  checkDerived(need(json, 'derived', 'array', 'run') as unknown[]);
  checkTrack(need(json, 'track', 'array', 'run') as unknown[]);
  return json as unknown as RunExport;
}

function checkDefinition(definition: Json): void {
  need(definition, 'packId', 'string', 'definition');
  need(definition, 'seed', 'number', 'definition');
  const scenario = need(definition, 'scenario', 'object', 'definition') as Json;
  for (const key of ['id', 'title', 'startPosture']) need(scenario, key, 'string', 'definition.scenario');
  const patient = need(scenario, 'patient', 'object', 'definition.scenario') as Json;
  for (const key of ['ageYears', 'weightKg']) need(patient, key, 'number', 'definition.scenario.patient');
  const threads = need(scenario, 'threads', 'array', 'definition.scenario') as unknown[];
  threads.forEach((thread, t) => {
    const where = `definition.scenario.threads[${t}]`;
    if (!isObject(thread)) fail(`${where} should be an object`);
    need(thread, 'id', 'string', where);
    const states = need(thread, 'states', 'array', where) as unknown[];
    states.forEach((state, s) => {
      if (!isObject(state)) fail(`${where}.states[${s}] should be an object`);
      need(state, 'id', 'string', `${where}.states[${s}]`);
      for (const key of ['drives', 'scripted', 'findings', 'cues', 'transitions']) {
        need(state, key, 'array', `${where}.states[${s}]`);
      }
    });
  });
  const library = need(definition, 'library', 'object', 'definition') as Json;
  need(library, 'interventions', 'array', 'definition.library');
  need(library, 'packs', 'array', 'definition.library');
}

function checkEvents(events: unknown[]): void {
  if (events.length > MOST_EVENTS) fail(`run.events holds ${events.length} events; at most ${MOST_EVENTS} are read`);
  const seen = new Set<number>();
  events.forEach((event, i) => {
    const where = `events[${i}]`;
    if (!isObject(event)) fail(`${where} should be an object`);
    need(event, 'kind', 'string', where);
    const seq = need(event, 'seq', 'number', where) as number;
    if (seen.has(seq)) fail(`${where}.seq is ${seq}, which an earlier event has already`);
    seen.add(seq);
    for (const key of ['take', 'appliedAtMs', 'occurredAtMs']) need(event, key, 'number', where);
    const applied = event['appliedAtMs'] as number;
    if (!Number.isInteger(applied) || applied < 0 || applied % 100 !== 0) {
      fail(`${where}.appliedAtMs is ${applied}; it should be a multiple of 100 ms, from 0`);
    }
    if (applied > LONGEST_MS) fail(`${where}.appliedAtMs is ${applied}; a run may last 24 h`);
    if ((event['occurredAtMs'] as number) > applied) fail(`${where} happened after it was applied`);
  });
}

function checkDerived(derived: unknown[]): void {
  derived.forEach((fact, i) => {
    if (!isObject(fact)) fail(`derived[${i}] should be an object`);
    need(fact, 'kind', 'string', `derived[${i}]`);
    need(fact, 'atMs', 'number', `derived[${i}]`);
  });
}

function checkTrack(track: unknown[]): void {
  if (track.length > MOST_ROWS) fail(`run.track holds ${track.length} rows; at most ${MOST_ROWS} are read`);
  let last = -1;
  let take = 1;
  track.forEach((row, i) => {
    const where = `track[${i}]`;
    if (!isObject(row)) fail(`${where} should be an object`);
    const atMs = need(row, 'atMs', 'number', where) as number;
    const own = row['take'] === undefined ? 1 : (need(row, 'take', 'number', where) as number);
    if (own !== take) last = -1;
    take = own;
    if (atMs <= last) fail(`${where}.atMs is ${atMs}, not after the row before`);
    last = atMs;
    const vitals = need(row, 'true', 'object', where) as Json;
    for (const key of ['spo2Percent', 'systolicMmHg', 'heartRatePerMin']) need(vitals, key, 'number', `${where}.true`);
    need(row, 'shown', 'object', where);
    need(row, 'states', 'object', where);
    need(row, 'signs', 'object', where);
  });
}
