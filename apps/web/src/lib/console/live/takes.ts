/** The moments someone would want to go again from. Pure. */
import type { RunView } from '@breathline/engine';
import type { LogLine } from '@breathline/protocol';
import type { Library } from '@breathline/scenario';
import { interventionById, isDosed, tileName } from '../catalogue.ts';

export interface Moment {
  readonly key: string;
  readonly toMs: number;
  /** "Last dose: Adrenaline IM". */
  readonly label: string;
}

const STEP_MS = 100;
const BACK_MIN = [1, 2, 5] as const;
/** A wind-back to less than this ago would show nothing. */
const LEAST_MS = 2_000;

/** On the engine's grid, never before the start. */
const onGrid = (ms: number): number => Math.max(0, Math.floor(ms / STEP_MS) * STEP_MS);

/**
 * Moments to go again from, most wanted first: just before the last change of state, just before the last dose, so many
 * minutes ago, the start, then every mark. "Just before" is one step, so that the state or the dose can go otherwise.
 * @param log Of the take that goes on now.
 */
export function windMoments(
  view: Pick<RunView, 'clockMs' | 'threads'>,
  log: readonly LogLine[],
  library: Library,
): readonly Moment[] {
  const nowMs = view.clockMs;
  const moments: Moment[] = [];
  const add = (key: string, ms: number, label: string): void => {
    const toMs = onGrid(ms);
    if (nowMs - toMs < LEAST_MS || moments.some((each) => each.key === key)) return;
    moments.push({ key, toMs, label });
  };
  const lines = log.filter((line) => line.withdrawnBy === null);

  const changed = view.threads.filter((thread) => thread.sinceMs > 0).sort((a, b) => b.sinceMs - a.sinceMs)[0];
  if (changed) add('state', changed.sinceMs - STEP_MS, `Before “${changed.stateTitle}”`);

  const dose = lines.findLast(({ event }) => {
    if (event.kind !== 'intervention' || event.step !== 'given') return false;
    const item = interventionById(library, event.intervention);
    return item !== undefined && isDosed(item);
  })?.event;
  if (dose?.kind === 'intervention') {
    const item = interventionById(library, dose.intervention);
    add('dose', dose.appliedAtMs - STEP_MS, `Before the last dose: ${item ? tileName(item) : dose.intervention}`);
  }
  for (const minutes of BACK_MIN) {
    if (nowMs >= minutes * 60_000) add(`back-${minutes}`, nowMs - minutes * 60_000, `${minutes} min ago`);
  }
  add('start', 0, 'The start');

  const names = new Map<number, string>();
  for (const { event } of lines) if (event.kind === 'mark-named') names.set(event.targetSeq, event.label);
  for (const { event } of lines.toReversed()) {
    if (event.kind !== 'mark') continue;
    add(`mark-${event.seq}`, event.occurredAtMs, `Mark: ${names.get(event.seq) ?? event.label ?? 'not named'}`);
  }
  return moments;
}
