/**
 * What travels between server and screens. One schema each (see `schemas.ts`); these are the static shapes.
 *
 * Socket: the client's first message is `join` with a one-use ticket got over HTTP; nothing secret is ever in a URL.
 * Each role gets its own closed projection. A monitor frame carries measured values only.
 */
import type { ConsciousnessWords, Explanation, ScoreOutcome } from '@breathline/patient';
import type { EventBody, RunEvent, RunPhase, RunView, ShownVitals, WaveformDrive, Derived } from '@breathline/engine';

export const PROTOCOL_VERSION = 1;
/** Largest frame the server accepts from a client, bytes. */
export const MAX_FRAME_BYTES = 65_536;

export type Role = 'faculty' | 'monitor';

// ------------------------------------------------ client -> server

/** First message on every socket. `lastSeq` is the last per-role sequence this screen has, to get what it missed. */
export interface JoinMessage {
  readonly t: 'join';
  readonly ticket: string;
  readonly lastSeq?: number;
}

/** What faculty may ask for: any event body a person can cause. `agoMs` backdates ("that was 20 s ago"). */
export type CommandBody = EventBody;

/** One tap. `clientId` + `n` make a repeat harmless; `baseSeq` is needed for steering commands only. */
export interface CommandMessage {
  readonly t: 'command';
  readonly clientId: string;
  readonly n: number;
  readonly baseSeq?: number;
  readonly agoMs?: number;
  readonly command: CommandBody;
}

export interface PingMessage {
  readonly t: 'ping';
  readonly n: number;
}

export type ClientMessage = JoinMessage | CommandMessage | PingMessage;

/** Commands that steer (need the current `baseSeq`); all others are log-type and always accepted. */
export const STEERING_KINDS = [
  'state-forced',
  'vital-overridden',
  'vital-released',
  'faculty-flag',
  'run-ended',
] as const;

// ------------------------------------------------ server -> client

export interface HelloMessage {
  readonly t: 'hello';
  readonly protocol: number;
  readonly role: Role;
  /** Monitor screens get an opaque id, never the run's own. */
  readonly screenId: string;
}

/** On disk. `warnings` are inline cautions (a tenfold dose), never refusals. */
export interface AckMessage {
  readonly t: 'ack';
  readonly n: number;
  readonly seq: number;
  readonly warnings: readonly { readonly code: string; readonly message: string }[];
}

/** Nothing was logged. Words for people: what was found, what was expected, how to mend it. */
export interface RefusedMessage {
  readonly t: 'refused';
  readonly n: number | null;
  readonly code: string;
  readonly message: string;
  readonly hint?: string;
}

/** A line of the faculty log: the event, and whether it has been withdrawn. */
export interface LogLine {
  readonly event: RunEvent;
  readonly withdrawnBy: number | null;
}

export interface FacultyFrame {
  readonly t: 'faculty';
  readonly roleSeq: number;
  /** Last event sequence of the run. */
  readonly seq: number;
  /** Present when the run was restarted by the server and waits, paused. */
  readonly restarted: boolean;
  readonly view: RunView;
  /** New or changed since the last frame this screen got. */
  readonly log: readonly LogLine[];
  readonly derived: readonly Derived[];
  readonly screens: { readonly monitors: number; readonly faculty: number };
  readonly joinCode: string;
}

export interface MonitorFrame {
  readonly t: 'monitor';
  readonly roleSeq: number;
  readonly phase: RunPhase;
  /** Every learner-facing screen says so when the server came back and waits. */
  readonly restarted: boolean;
  /** Stop: blank everything. */
  readonly blank: boolean;
  readonly clockMs: number;
  /** Safe title only. */
  readonly title: string;
  readonly shown: ShownVitals;
  readonly wave: WaveformDrive;
  /** For age-appropriate limits and scale; no name. */
  readonly ageYears: number;
}

export interface PongMessage {
  readonly t: 'pong';
  readonly n: number;
}

export type ServerMessage = HelloMessage | AckMessage | RefusedMessage | FacultyFrame | MonitorFrame | PongMessage;

// ------------------------------------------------ HTTP bodies (all errors: application/problem+json, RFC 9457, with `code` and `hint`)
/*
  WS   /api/socket                        first message `join` with a ticket, then frames                         ticket
  POST /api/login {passphrase}            -> 204 + httpOnly cookie (faculty)         | 401
  POST /api/logout                        -> 204
  GET  /api/me                            -> {role: 'faculty' | null}
  GET  /api/health                        -> {ok: true, version}
  GET  /api/scenarios                     -> {scenarios: ScenarioCard[], broken: {file, errors: Diagnostic[]}[]}   faculty
  GET  /api/scenarios/:id                 -> {scenario: Scenario, warnings: Diagnostic[], text: string}            faculty
  GET  /api/library                       -> Library                                                             faculty
  POST /api/runs {scenarioId, packId, weightKg?}  -> {runId, joinCode}                                            faculty
  GET  /api/runs                          -> {runs: RunCard[]}                                                    faculty
  GET  /api/runs/:id                      -> {run: RunCard, definition: RunDefinition}                            faculty
  POST /api/runs/:id/ticket               -> {ticket}                                                             faculty
  POST /api/runs/:id/commands CommandMessage -> AckMessage | problem                                              faculty
  GET  /api/runs/:id/export               -> RunExport (attachment)                                               faculty
  POST /api/runs/import RunExport         -> {runId}                                                              faculty
  GET  /api/runs/:id/scorecard?pack=      -> Scorecard                                                            faculty
  GET  /api/runs/:id/explain?vital=       -> WhyAnswer; refused during a real-emergency stop                      faculty
  GET  /api/runs/:id/scores               -> ScoresAnswer; refused during a real-emergency stop                   faculty
  A monitor's socket may send one command, `real-emergency-stop`; its ack carries seq 0 (a monitor learns no sequence).
  POST /api/join {code}                   -> {ticket, title}                                                      anyone with the code
*/

export interface ScenarioCard {
  readonly id: string;
  readonly title: string;
  readonly summary: string;
  readonly level: string;
  readonly setting: string;
  readonly patientText: string;
  readonly ageYears: number;
  readonly weightKg: number;
  readonly guidelines: readonly { readonly id: string; readonly title: string }[];
  readonly objectives: readonly string[];
  readonly warnings: number;
  readonly file: string;
}

export interface RunCard {
  readonly runId: string;
  readonly scenarioId: string;
  readonly scenarioTitle: string;
  readonly packId: string;
  readonly phase: RunPhase;
  readonly clockMs: number;
  readonly joinCode: string | null;
  readonly createdAt: string;
  readonly endedAt: string | null;
  readonly imported: boolean;
}

/** "Why is the saturation 84 %?" in the model's own terms, at one moment of a run. For faculty only. */
export interface WhyAnswer extends Explanation {
  /** Says that it is a teaching model of a simulated patient. */
  readonly caution: string;
  readonly clockMs: number;
  /** What guards and screens follow now: `value`, unless a script or faculty lay something over it. */
  readonly effective: number;
  /** Faculty hold this vital: `value` is what the model has underneath. */
  readonly held: boolean;
}

/** Bedside scores of the simulated patient now, whole: items, variant, source, or why one can not be given. Faculty only. */
export interface ScoresAnswer {
  readonly caution: string;
  readonly clockMs: number;
  readonly consciousness: ConsciousnessWords;
  readonly scores: readonly ScoreOutcome[];
}
