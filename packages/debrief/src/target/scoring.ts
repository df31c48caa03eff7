/** What scoring one target reads, and what each kind of line comes to. */
import type { RunExport } from '@breathline/engine';
import type { GuidelinePack } from '@breathline/scenario';
import type { Eyes } from '../clocks.ts';
import type { Act, PreparedLog } from '../prepare-log.ts';
import type { Clocks, Evidence, ResultWord } from '../types.ts';

/** One run against one pack. */
export interface Scoring {
  readonly run: RunExport;
  readonly pack: GuidelinePack;
  readonly log: PreparedLog;
  readonly clocks: Clocks;
  readonly eyes: Eyes;
}

/** What became of a line, before its dose is looked at. */
export interface Verdict {
  readonly result: ResultWord;
  readonly because: string;
  readonly act: Act | null;
  readonly dueMs: number | null;
  /** Timing credit before the dose is looked at; null = nothing to credit. */
  readonly timing: number | null;
  readonly arithmetic: string;
  readonly evidence?: readonly Evidence[];
}

/** When a line's clock started, and why; `atMs` null when it never did. */
export interface Start {
  readonly atMs: number | null;
  readonly because: string;
  readonly evidence: readonly Evidence[];
}

/** What the team did of these, in order. */
export function actsOf(log: PreparedLog, interventions: readonly string[]): readonly Act[] {
  return log.acts.filter((act) => interventions.includes(act.intervention));
}

/** A verdict that credits nothing and counts for nothing. */
export function none(result: ResultWord, because: string, act: Act | null, dueMs: number | null): Verdict {
  return { result, because, act, dueMs, timing: null, arithmetic: 'Does not count' };
}
