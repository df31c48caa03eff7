/** What a join is answered with, what a site sets, and what the readiness board asks. */
import type { RunPhase } from '@breathline/engine';
import type { CallContact } from '@breathline/scenario';
import type { Role } from './types.ts';

/** Answer to a join by code. */
export interface JoinAnswer {
  readonly ticket: string;
  readonly title: string;
  readonly role?: Role;
  /** For the crew: lets this phone ask a few things over HTTP, until it or the server goes. */
  readonly pass?: string;
  /** For learners' screens: what this site has set. */
  readonly site?: MonitorSite;
}

/** The tick of the readiness board that says a drill is held where real patients are. */
export const IN_SITU_ITEM = 'insitu:on';

/** What a site sets once. */
export interface SiteSettings {
  /** Places a drill may be held. */
  readonly wards: readonly string[];
  /** New runs are in situ unless said otherwise. */
  readonly inSitu: boolean;
  /** No learners' screen is louder than this, 0 to 100. */
  readonly soundCapPercent: number;
  /** One of the monitor's palettes by name; empty = its own. */
  readonly palette: string;
  /** Whom this site calls, in place of a scenario's contact of the same id or beside them. */
  readonly calls: readonly CallContact[];
  /** What the ward's own alarm sounds like, so that the simulated one can differ; null = not said. */
  readonly wardAlarm: { readonly words: string; readonly pitchHz: number | null } | null;
}

/** What of it a learners' screen may know. */
export type MonitorSite = Pick<SiteSettings, 'inSitu' | 'soundCapPercent' | 'palette' | 'wardAlarm'>;

export interface PhotoAnswer {
  /** Goes into a `system-problem` as `photo`. */
  readonly photo: string;
  readonly bytes: number;
}

/** How other devices reach the server. */
export interface NetworkAnswer {
  /** What another device can open, the likeliest first; none while the server listens on its own machine alone. */
  readonly origins: readonly string[];
  /** Over https: without it browsers on other devices keep no screen awake and install nothing. */
  readonly secure: boolean;
  /** Plain address from which a device fetches and learns to trust the site's own certificate; null where there is none. */
  readonly trustAt: string | null;
}

/** Copies of the store: what there is, and what is wrong. */
export interface BackupAnswer {
  /** Where they are put. */
  readonly folder: string;
  /** On the same disk as the data, and lost with it; null where the system will not say. */
  readonly sameDisk: boolean | null;
  /** The newest that was opened and found whole; null while there is none. */
  readonly last: { readonly madeAt: string; readonly bytes: number; readonly runs: number } | null;
  /** Why the last try failed and how to mend it; null when it did not. */
  readonly problem: string | null;
  /** One is being made, or waits for a drill to end. */
  readonly waiting: boolean;
  /** So many were made before something was erased, and go once a fresh one stands. */
  readonly stale: number;
}

/** Facts the readiness board needs; it judges them. */
export interface ReadyAnswer {
  readonly version: string;
  /** Null where the system will not say. */
  readonly freeDiskBytes: number | null;
  readonly dataFolderWritable: boolean;
  readonly backup: BackupAnswer;
  /** When clocks and seconds were last written, ISO; null = not since the server started. */
  readonly lastSyncAt: string | null;
  readonly runs: readonly {
    readonly runId: string;
    readonly phase: RunPhase;
    readonly monitors: number;
    readonly faculty: number;
    readonly loggers: number;
    readonly observers: number;
    readonly participants: number;
  }[];
}
