/**
 * The run played again on this screen, from its log: to fill the small trends after a reload, and to say what an undo
 * would change before it is done. The server's own run is never touched.
 */
import { keptOfTake, replay, type RunDefinition, type RunEvent, type Simulation } from '@breathline/engine';
import type { LogLine } from '@breathline/protocol';
import { trendPoint, type TrendPoint } from './frames.ts';
import { vitalWords } from './logrows.ts';
import { plainNumber } from './format.ts';

function played(definition: RunDefinition, log: readonly LogLine[], clockMs: number, keepTrack: boolean): Simulation {
  const events = log.map((line) => line.event);
  return replay(definition, events, { keepTrack, untilMs: clockMs });
}

/** Trend points of the present take so far. Empty when the log can't be replayed here (another engine version). */
export function replayedTrend(
  definition: RunDefinition,
  log: readonly LogLine[],
  clockMs: number,
): readonly TrendPoint[] {
  try {
    const run = played(definition, log, clockMs, true);
    return keptOfTake(run.track, run.events, run.take).map((row) =>
      trendPoint({ clockMs: row.atMs, trueVitals: row.true, shown: row.shown }),
    );
  } catch {
    return [];
  }
}

export interface UndoPreview {
  /** States that would change, in words. Empty: none would. */
  readonly states: readonly string[];
  /** Vitals that would jump at once, in words. */
  readonly vitals: readonly string[];
  /** False when it could not be worked out here. */
  readonly known: boolean;
}

/** A change of a vital worth saying, in its own unit. */
const WORTH_SAYING = [
  ['heartRatePerMin', 8],
  ['spo2Percent', 3],
  ['systolicMmHg', 8],
  ['respiratoryRatePerMin', 5],
] as const;

/** What taking back event `seq` would change now. */
export function previewUndo(
  definition: RunDefinition,
  log: readonly LogLine[],
  seq: number,
  clockMs: number,
): UndoPreview {
  try {
    const run = played(definition, log, clockMs, false);
    const before = run.view();
    const last = log.reduce((most, line) => Math.max(most, line.event.seq), 0);
    const withdrawal: RunEvent = {
      kind: 'event-withdrawn',
      targetSeq: seq,
      seq: last + 1,
      take: before.take,
      appliedAtMs: run.clockMs,
      occurredAtMs: run.clockMs,
      wallTime: '',
      by: { role: 'lead' },
    };
    run.apply(withdrawal);
    const after = run.view();
    const states = after.threads.flatMap((thread, at) => {
      const was = before.threads[at];
      return was && was.state !== thread.state ? [`"${was.stateTitle}" becomes "${thread.stateTitle}"`] : [];
    });
    const vitals = WORTH_SAYING.flatMap(([id, least]) => {
      const [was, now] = [before.trueVitals[id], after.trueVitals[id]];
      return Math.abs(was - now) >= least ? [`${vitalWords(id)} ${plainNumber(was, 0)} to ${plainNumber(now, 0)}`] : [];
    });
    return { states, vitals, known: true };
  } catch {
    return { states: [], vitals: [], known: false };
  }
}
