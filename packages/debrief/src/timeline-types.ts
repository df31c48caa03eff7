/** One picture of a run on one time axis. All times are run-clock milliseconds. */
import type { ResultWord } from './types.ts';

/** A sample of a line; `value` null is a gap (nothing attached, reading lost). */
export interface TimelinePoint {
  readonly atMs: number;
  readonly value: number | null;
}

export interface TimelineLine {
  /** 'true' is what the patient was; 'shown' is what a monitor showed. */
  readonly kind: 'true' | 'shown';
  readonly part: 'only' | 'systolic' | 'diastolic';
  /** Continuous readings join up; single readings (a cuff) are dots. */
  readonly style: 'joined' | 'dots';
  readonly points: readonly TimelinePoint[];
}

export type PanelId = 'spo2' | 'pulse' | 'pressure' | 'breathing' | 'etco2';

export interface TimelinePanel {
  readonly id: PanelId;
  readonly label: string;
  readonly unit: string;
  /** Usual range for the age; null where there is none. */
  readonly range: { readonly low: number; readonly high: number; readonly says: string } | null;
  /** A line that matters: 90 % saturation, the low systolic limit for the age. */
  readonly limit: { readonly value: number; readonly says: string } | null;
  /** Above this is danger, in these parts of the run. */
  readonly upperLimit?: {
    readonly value: number;
    readonly says: string;
    readonly spans: readonly { readonly fromMs: number; readonly toMs: number }[];
  };
  /** Value axis, low to high, tight to what happened and the range. */
  readonly domain: readonly [number, number];
  readonly lines: readonly TimelineLine[];
}

export interface TimelineMark {
  readonly seq: number | null;
  readonly atMs: number;
  readonly kind:
    | 'drug'
    | 'fluid'
    | 'oxygen'
    | 'procedure'
    | 'act'
    | 'call'
    | 'assessment'
    | 'result'
    | 'cue'
    | 'note'
    | 'mark'
    | 'steering';
  /** Short, for the picture. */
  readonly label: string;
  /** In full, for reading out. */
  readonly text: string;
  /** The seat that did it, where one was named; faculty's own. */
  readonly by?: string;
  /** Something to look at: a dose error, an order broken. */
  readonly warn: boolean;
  /** Doses of one intervention, numbered from 1; null for the rest. */
  readonly nth: number | null;
}

export interface TimelineState {
  readonly state: string;
  readonly title: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly because: string;
  readonly forced: boolean;
}

/** From clock start to due to limit, and where the act fell. */
export interface TimelineTarget {
  readonly id: string;
  readonly says: string;
  readonly result: ResultWord;
  readonly critical: boolean;
  readonly unverifiedSource: boolean;
  readonly fromMs: number;
  readonly dueMs: number;
  /** Where the fade ends; equal to `dueMs` when there is no fade. */
  readonly limitMs: number;
  readonly actualMs: number | null;
  readonly latenessMs: number | null;
}

export interface TimelineMoment {
  readonly id: 'arrival' | 'could-have-seen' | 'did-see' | 'said' | 'called-for' | 'key-step' | 'end';
  readonly label: string;
  /** What was wrong with it, in a few words; always beside its time. */
  readonly fault?: string;
  readonly atMs: number;
  readonly because: string | null;
}

/** The step the pack turns on: from when it was called for to when it was done. */
export interface TimelineKeyStep {
  readonly target: string;
  readonly label: string;
  readonly fromMs: number;
  /** Null: not done, or not in the log; `outcome` says which. */
  readonly toMs: number | null;
  readonly endMs: number;
  readonly since: 'could-have-seen' | 'called-for';
  /** What was wrong with it, in two or three words, and at length. */
  readonly fault: string | null;
  readonly faultSays: string | null;
  readonly outcome: string | null;
}

export interface TimelineModel {
  readonly caution: string;
  readonly runId: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly panels: readonly TimelinePanel[];
  readonly doses: readonly TimelineMark[];
  readonly acts: readonly TimelineMark[];
  readonly assessments: readonly TimelineMark[];
  /** Tests that came back, when they did, with their values; `seq` is the event that asked. */
  readonly results: readonly TimelineMark[];
  readonly cues: readonly TimelineMark[];
  readonly notes: readonly TimelineMark[];
  readonly threads: readonly {
    readonly id: string;
    readonly title: string;
    readonly states: readonly TimelineState[];
  }[];
  readonly targets: readonly TimelineTarget[];
  readonly moments: readonly TimelineMoment[];
  /** The one gap that matters most; null where nothing called for it. */
  readonly key: TimelineKeyStep | null;
  readonly pauses: readonly { readonly atMs: number; readonly why: string }[];
}
