/** The bracket that matters most: from when the key step was called for to when it was done. */
import type { Intervention } from '@breathline/scenario';
import { doseFault, firstAdrenalineFault } from './first-adrenaline.ts';
import { isAdrenaline, keyStep, keyStepText } from './key-step.ts';
import type { ResultWord, Scorecard } from './types.ts';
import type { TimelineKeyStep } from './timeline-types.ts';

/** What stands in place of a time, for a step without one. */
const WITHOUT: Readonly<Partial<Record<ResultWord, string>>> = {
  missed: 'not done',
  'not-recorded': 'not in the log',
};

/**
 * The key step on the axis; null where nothing called for it or its time had not come. It begins when the illness could
 * have been seen, or later where what calls for this step came later (a pause in breathing, a shock).
 */
export function timelineKey(card: Scorecard, interventions: readonly Intervention[]): TimelineKeyStep | null {
  const step = keyStep(card, interventions);
  if (step === null) return null;
  const { couldHaveSeenMs: could, firstAdrenalineMs, endMs } = card.clocks;
  const adrenaline = isAdrenaline(step);
  const started = step.clockStartMs ?? could;
  if (started === null) return null;
  const allowedMs = step.target.dueMs ?? 0;
  // A line with a condition falls due when the condition first holds, if that is later than its own time.
  const called = step.dueMs !== null && step.dueMs > started + allowedMs + 1000 ? step.dueMs : started;
  const toMs = adrenaline ? (firstAdrenalineMs ?? step.actualMs) : step.actualMs;
  const since = Math.max(could ?? 0, called);
  // Done before it was called for: no gap to draw.
  const fromMs = toMs === null ? since : Math.min(since, toMs);
  const outcome = toMs === null ? (WITHOUT[step.result] ?? null) : null;
  if (toMs === null && outcome === null) return null;
  const fault = toMs === null ? null : adrenaline ? firstAdrenalineFault(card) : doseFault(step.dose);
  return {
    target: step.target.id,
    label: adrenaline ? 'First adrenaline' : keyStepText(card, step),
    fromMs,
    toMs,
    endMs,
    since: since === could ? 'could-have-seen' : 'called-for',
    fault: fault?.brief ?? null,
    faultSays: fault?.says ?? null,
    outcome,
  };
}
