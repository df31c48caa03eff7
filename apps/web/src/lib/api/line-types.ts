/** What a screen's line to a run is made of: its states, the frames it brings, the taps it keeps. */
import type { AckMessage, CommandBody, CrewFrame, FacultyFrame, MonitorFrame, Role } from '@breathline/protocol';
import type { ApiError } from './errors.ts';
import type { GetTicket } from './first-ticket.ts';

export type ConnectionState = 'connecting' | 'live' | 'reconnecting' | 'offline' | 'restarted' | 'closed';

/** The part of WebSocket used here, so that a test can stand in for it. */
export interface SocketLike {
  readyState: number;
  onopen: ((event: never) => void) | null;
  onmessage: ((event: { data: unknown }) => void) | null;
  onclose: ((event: never) => void) | null;
  onerror: ((event: never) => void) | null;
  send(data: string): void;
  close(code?: number): void;
}

/** Any picture of a run the server sends. */
export type AnyFrame = FacultyFrame | MonitorFrame | CrewFrame;

/** What the screen that was tapped said of it. */
export interface Said {
  /** "Adrenaline IM: given". */
  readonly label: string;
  /** Run-clock ms at which it happened in the room; below zero where that is not known. */
  readonly atMs: number;
}

/** A tap an earlier page of this screen left waiting, and what comes of it. */
export interface LeftTap {
  readonly number: number;
  readonly command: CommandBody;
  readonly said: Said;
  readonly undone: boolean;
  readonly answered: Promise<AckMessage>;
}

/** Taps that outlive the page: a phone that reloads while offline still sends what was tapped, once. */
export interface KeptTaps {
  readonly clientId: string;
  /** The last number used. */
  readonly n: number;
  readonly taps: readonly {
    readonly n: number;
    readonly command: CommandBody;
    readonly agoMs: number;
    /** Wall clock of the tap, ms. */
    readonly wallMs: number;
    /** Wall clock of its undo, ms, where it was undone while it waited. */
    readonly undoneMs?: number;
    readonly said?: Said;
  }[];
}

export interface Outbox {
  load(): KeptTaps | null;
  save(kept: KeptTaps): void;
}

export interface RunSocketOptions {
  /** Gets a fresh one-use ticket (each connection needs its own). */
  readonly getTicket: GetTicket;
  readonly onFrame?: (frame: AnyFrame) => void;
  /** What this screen is, as the server says it. */
  readonly onRole?: (role: Role) => void;
  /** A crew phone's own seat, kept by it. */
  readonly seat?: string;
  /** Where taps wait if the page goes; left out, they go with it. */
  readonly outbox?: Outbox;
  readonly onConnection?: (state: ConnectionState) => void;
  /** A lasting problem (signed out, no such run): the socket has stopped trying. `null` clears it. */
  readonly onProblem?: (problem: ApiError | null) => void;
  /** How many commands still wait for the server. */
  readonly onPending?: (count: number) => void;
  /** A tap has gone unanswered for too long on a line that seems to stand, or that is over. */
  readonly onUnanswered?: (unanswered: boolean) => void;
  /** What was undone while it waited is on the log, and its withdrawal was refused: the line stands. */
  readonly onUndoRefused?: (problem: ApiError, targetSeq: number) => void;
  readonly url?: string;
  readonly connect?: (url: string) => SocketLike;
  /** Monotonic milliseconds. */
  readonly now?: () => number;
  readonly clientId?: string;
}

/** A tap the server has not answered yet. */
export interface Pending {
  readonly n: number;
  readonly command: CommandBody;
  readonly agoMs: number;
  readonly baseSeq: number | undefined;
  readonly askedAt: number;
  readonly wallMs: number;
  readonly said?: Said | undefined;
  lastSentAt: number;
  /** When it was undone, on the screen's steady clock and the wall's; it can not be called back, so it is withdrawn once logged. */
  undone?: { readonly askedAt: number; readonly wallMs: number };
  readonly resolve: (ack: AckMessage) => void;
  readonly reject: (error: ApiError) => void;
}

/** A socket to the server this page came from, or as the options say. */
export function socketOf({ connect, url }: RunSocketOptions): SocketLike {
  if (connect) return connect(url ?? 'ws://test/api/socket');
  const here = (): string => `${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/api/socket`;
  return new WebSocket(url ?? here()) as unknown as SocketLike;
}
