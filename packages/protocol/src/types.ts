/**
 * What travels between server and screens. One schema each (see `schemas.ts`); these are the static shapes.
 *
 * Socket: the client's first message is `join` with a one-use ticket got over HTTP; nothing secret is ever in a URL.
 * Each role gets its own closed projection. A monitor frame carries measured values only.
 */
import type { AbcdeId, ConsciousnessWords, Explanation, ScoreOutcome } from '@breathline/patient';
import type { Diagnostic, Exhibit } from '@breathline/scenario';
import type {
  BehaviourRating,
  LearnerControls,
  LiveView,
  EventBody,
  RunEvent,
  RunPhase,
  RunView,
  ShownVitals,
  WaveformDrive,
  Derived,
} from '@breathline/engine';

export type * from './types-site.ts';

export const PROTOCOL_VERSION = 1;
/** Largest frame the server accepts from a client, bytes. */
export const MAX_FRAME_BYTES = 65_536;

/**
 * `faculty` leads; `logger` sees what faculty see and logs but does not steer; `observer` ticks and comments; `participant`
 * is the embedded one's prompt sheet; `monitor` is any learner-facing screen.
 */
export type Role = 'faculty' | 'logger' | 'observer' | 'participant' | 'monitor';
/** Roles that join with the crew code, from their own phone. */
export type CrewRole = 'logger' | 'observer' | 'participant';

// ------------------------------------------------ client -> server

/** First message on every socket. `lastSeq` is the last per-role sequence this screen has, to get what it missed. */
export interface JoinMessage {
  readonly t: 'join';
  readonly ticket: string;
  readonly lastSeq?: number;
  /**
   * A crew phone's own seat, chosen at random and kept by it, so that what it ticked and wrote is still its own after it
   * reconnects. Left out, the seat is this connection's.
   */
  readonly seat?: string;
}

/** What faculty may ask for: any event body a person can cause. */
export type CommandBody = EventBody;

/** One tap. `clientId` + `n` make a repeat harmless; `baseSeq` is needed for steering commands only. */
export interface CommandMessage {
  readonly t: 'command';
  readonly clientId: string;
  readonly n: number;
  readonly baseSeq?: number;
  /** "That was 20 s ago", ms of the run clock before the tap. */
  readonly agoMs?: number;
  /**
   * How long this tap waited on the screen for the server, ms on the wall. The server knows what the run clock showed then,
   * whatever was paused, sped up or restarted since. Sending again with a longer wait is the same tap.
   */
  readonly heldMs?: number;
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
  'course-steered',
  'course-released',
  'wound-back',
  'arrest-decided',
] as const;

// ------------------------------------------------ server -> client

export interface HelloMessage {
  readonly t: 'hello';
  readonly protocol: number;
  readonly role: Role;
  /** Monitor screens get an opaque id, never the run's own. */
  readonly screenId: string;
  /**
   * Opens the same part of the same run again in place of a ticket, as often as the line breaks: a screen that finds the
   * network back by opening a socket joins over that socket, and needs no request beside it.
   */
  readonly again: string;
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
  readonly screens: { readonly monitors: number; readonly faculty: number; readonly crew?: number };
  readonly joinCode: string;
  /** For loggers, observers and embedded participants; never on a learner's screen. */
  readonly crewCode?: string;
  /**
   * While nobody has said how a restart counts, also where someone is not all right meanwhile: how long the run stood still
   * from when the server was last alive until it is carried on or people halt it, ms on the wall, a quarter of an hour at
   * most. Faculty choose once: `run-resumed` with `gapMs` up to this lets the patient live through it; without, it does not count.
   */
  readonly awayMs?: number;
  readonly anchor?: ClockAnchor;
}

/**
 * What the run clock showed at one instant of the server's own clock, and how fast it goes. A screen that follows this (and
 * not the arrival of frames) shows the same moment as every other, however slow its line: `runClockAt` works it out.
 */
export interface ClockAnchor {
  /** The server's clock when this was written, ms, from an arbitrary start; see `PongMessage.serverMs`. */
  readonly serverMs: number;
  /** The run clock at that instant, ms; finer than `clockMs`, which stands on a step. */
  readonly runMs: number;
  /** Milliseconds of the run a millisecond: the run's speed, or 0 while it stands. */
  readonly rate: number;
}

export interface MonitorFrame {
  readonly t: 'monitor';
  readonly roleSeq: number;
  readonly phase: RunPhase;
  /** Every learner-facing screen says so when the server came back and waits. */
  readonly restarted: boolean;
  /** Paused because someone in the room is not all right. */
  readonly notAllRight?: true;
  /** Stop: blank everything. */
  readonly blank: boolean;
  readonly clockMs: number;
  /** Safe title only. */
  readonly title: string;
  readonly shown: ShownVitals;
  readonly wave: WaveformDrive;
  /** For age-appropriate limits and scale; no name. */
  readonly ageYears: number;
  readonly speed?: LiveView['speed'];
  readonly sound?: LiveView['sound'];
  /** Real patients are near this run: no screen sounds louder than its quiet setting. */
  readonly inSitu?: boolean;
  readonly playing?: LiveView['playing'];
  readonly alarm?: LiveView['alarm'] & {
    /** Which alarms stand (`active`) and which are over but kept, by who watched from the beginning; see the signals package. */
    readonly standing?: readonly { readonly id: string; readonly atMs: number; readonly active: boolean }[];
  };
  /** What learners may press here. */
  readonly may?: LearnerControls;
  /** What faculty put on the results screen, oldest first; gas results come by themselves. */
  readonly exhibits?: readonly {
    readonly id: string;
    readonly title: string;
    readonly kind: 'gas' | Exhibit['kind'];
    readonly text: string;
    /** Address of the picture on this server; its name tells nothing. */
    readonly picture?: string;
    readonly sinceMs: number;
  }[];
  /** What a stethoscope hears, 0 to 1 each; null unless faculty let learners listen. */
  readonly chest?: ChestSounds | null;
  /** Draw by this, so that two monitors agree; absent while blank. */
  readonly anchor?: ClockAnchor;
}

export interface ChestSide {
  readonly airEntry: number;
  readonly wheeze: number;
  readonly crackles: number;
}
export interface ChestSounds {
  readonly left: ChestSide;
  readonly right: ChestSide;
  readonly stridor: number;
}

/** What an observer or an embedded participant sees on a phone: never vitals, never states. */
export interface CrewFrame {
  readonly t: 'crew';
  readonly roleSeq: number;
  readonly role: 'observer' | 'participant';
  readonly seat: string;
  readonly phase: RunPhase;
  readonly restarted: boolean;
  /** Paused because someone in the room is not all right. */
  readonly notAllRight?: true;
  readonly blank: boolean;
  readonly clockMs: number;
  readonly take: number;
  readonly title: string;
  /** Observers: the scenario's list, with this seat's own last tick. */
  readonly behaviours: readonly {
    readonly id: string;
    readonly says: string;
    readonly seen: 'seen' | 'partly' | 'not-seen' | null;
    readonly rating?: BehaviourRating;
  }[];
  /** This seat's own. */
  readonly comments: readonly {
    readonly seq: number;
    readonly text: string;
    readonly about: string | null;
    readonly atMs: number;
  }[];
  /** Participants: cues due and spoken, newest last. */
  readonly prompts: readonly {
    readonly cue: string;
    readonly by: string;
    readonly says: string;
    readonly dueAtMs: number;
    readonly spokenAtMs: number | null;
  }[];
  /** Participants: how the patient looks and sounds now, to be acted or spoken. */
  readonly lines: readonly { readonly letter: AbcdeId; readonly text: string }[];
  readonly family: {
    readonly distress: 0 | 1 | 2 | 3;
    readonly with: string | null;
    readonly members: readonly {
      readonly who: string;
      readonly says: string;
      readonly history: readonly {
        readonly id: string;
        readonly ifAsked: string;
        readonly says: string;
        readonly toldAtMs: number | null;
      }[];
      readonly worries: readonly {
        readonly id: string;
        readonly says: string;
        readonly why: string;
        readonly step: string | null;
      }[];
    }[];
  } | null;
  readonly happenings: readonly {
    readonly seq: number;
    readonly what: string;
    readonly text: string;
    readonly atMs: number;
  }[];
  readonly anchor?: ClockAnchor;
}

export interface PongMessage {
  readonly t: 'pong';
  readonly n: number;
  /** The server's clock when it answered, ms: with the time a ping took, a screen knows how far its own clock is off. */
  readonly serverMs?: number;
}

export type ServerMessage =
  HelloMessage | AckMessage | RefusedMessage | FacultyFrame | MonitorFrame | CrewFrame | PongMessage;

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
  GET  /api/packs                         -> PackFiles                                                           faculty
  GET  /api/packs/:id/file?as=            -> the pack's file, or a copy of it under another id (attachment)      faculty
  POST /api/packs/:id/fork {as, title?}   -> PackCopied: a site's own copy, written into the guidelines folder    faculty
  POST /api/runs {scenarioId, packId, weightKg?}  -> {runId, joinCode}                                            faculty
  GET  /api/runs                          -> {runs: RunCard[]}                                                    faculty
  GET  /api/runs/:id                      -> {run: RunCard, definition: RunDefinition}                            faculty
  POST /api/runs/:id/ticket               -> {ticket}                                                             faculty
  POST /api/runs/:id/commands CommandMessage -> AckMessage | problem                                              faculty
  GET  /api/runs/:id/export               -> RunExport (attachment)                                               faculty
  POST /api/runs/import RunExport         -> {runId}                                                              faculty
  GET  /api/runs/:id/scorecard?pack=      -> Scorecard                                                            faculty
  GET  /api/runs/:id/explain?vital=       -> WhyAnswer; refused during a real-emergency stop                      faculty
  GET  /api/runs/:id/log?after=           -> LogAnswer                                                            faculty
  GET  /api/runs/:id/scores               -> ScoresAnswer; refused during a real-emergency stop                   faculty
  GET  /api/runs/:id/photos/:photo        -> the picture of a system problem                                      faculty
  POST /api/runs/:id/photos               a JPEG, PNG or WebP as the body -> PhotoAnswer                          faculty
  GET  /api/exhibits/:file                -> a picture of `scenarios/exhibits`    faculty by file name; a screen by the address its frame gave
  GET  /api/site, PUT /api/site           SiteSettings                                                            faculty
  GET  /api/ready                         -> ReadyAnswer                                                          faculty
  GET  /api/network                       -> NetworkAnswer                                                        faculty
  POST /api/join {code, as?}              -> JoinAnswer                                                           anyone with the code
  A run has two codes: the learners' (joins as `monitor`) and the crew's (joins as logger, observer or participant; observer
  if not said). A crew phone learns no run id: with the `pass` of its JoinAnswer in `authorization: Bearer <pass>` it may ask
  POST /api/crew/photos                   a picture as the body -> PhotoAnswer                                    crew
  GET  /api/crew/definition               -> RunDefinition                                                        loggers
  A monitor's socket may send `real-emergency-stop`, and what its frame's `may` lists; its acks carry seq 0 (a monitor learns
  no sequence).
  POST /api/runs/:id/ticket {as?}         signed-in faculty may also open a run as logger, observer or participant.
  GET  /api/runs/:id/export?take=, scorecard?take=    a take other than the last
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

/** Guideline packs as files. */
export interface PackFiles {
  /** Where they lie on the server. */
  readonly folder: string;
  readonly files: readonly { readonly id: string; readonly file: string }[];
  readonly broken: readonly { readonly file: string; readonly errors: readonly Diagnostic[] }[];
}

/** A site's own copy of a pack, just written. */
export interface PackCopied {
  readonly id: string;
  readonly file: string;
  readonly path: string;
}

export interface RunCard {
  readonly runId: string;
  readonly scenarioId: string;
  readonly scenarioTitle: string;
  readonly packId: string;
  readonly phase: RunPhase;
  readonly clockMs: number;
  readonly joinCode: string | null;
  readonly crewCode?: string | null;
  readonly createdAt: string;
  readonly endedAt: string | null;
  readonly imported: boolean;
  /** A scenario's own rehearsal brought in: no team played it, it has no date and never counts in the programme. */
  readonly rehearsal?: boolean;
  /** One of the site's wards. */
  readonly ward?: string | null;
  /** A team's pseudonym, never a name. */
  readonly team?: string | null;
  /** Counts in the programme; absent = it does. */
  readonly scored?: boolean;
  /** How it ended; absent or null while it is open. */
  readonly ending?: RunEnding | null;
}

/** How a run ended, for a list. */
export interface RunEnding {
  /** It was stopped for a real emergency and ended so. */
  readonly realEmergency: boolean;
  /** The last state the patient was in, by its title; null where none is known. */
  readonly state: string | null;
}

/** What a run's log has gained after a line, so that debriefs on several screens agree; and the clock on the server's wall. */
export interface LogAnswer {
  /** The last line there is. */
  readonly seq: number;
  /** Now, ISO. */
  readonly wallTime: string;
  readonly events: readonly RunEvent[];
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
