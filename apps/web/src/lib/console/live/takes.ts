/** The moments someone would want to go again from, in the take that goes on or in one that was left. Pure. */
import { eventsOfTake, keptOfTake, type Derived, type LiveView, type RunView } from '@breathline/engine';
import type { LogLine } from '@breathline/protocol';
import type { Library, Scenario } from '@breathline/scenario';
import { interventionById, isDosed, tileName } from '../catalogue.ts';
import { clockText } from '../format.ts';

export interface Moment {
  readonly key: string;
  readonly toMs: number;
  /** "Last dose: Adrenaline IM". */
  readonly label: string;
}

/** Where a take stands, or where it was left. */
export type TakeSoFar = Pick<RunView, 'clockMs'> & {
  readonly threads: readonly Pick<RunView['threads'][number], 'stateTitle' | 'sinceMs'>[];
};

const STEP_MS = 100;
const BACK_MIN = [1, 2, 5] as const;

/** Moments that stand in places of their own, whatever happens in the run: nothing moves under a thumb. */
export const FIXED_MOMENTS: readonly Pick<Moment, 'key' | 'label'>[] = [
  ...BACK_MIN.map((minutes) => ({ key: `back-${minutes}`, label: `${minutes} min ago` })),
  { key: 'start', label: 'The start' },
];
/** A wind-back to less than this ago would show nothing. */
const LEAST_MS = 2_000;

/** On the engine's grid, never before the start. */
const onGrid = (ms: number): number => Math.max(0, Math.floor(ms / STEP_MS) * STEP_MS);

/**
 * Moments to go again from, most wanted first: just before the last change of state, just before the last dose, so many
 * minutes ago, the start, then every mark. "Just before" is one step, so that the state or the dose can go otherwise.
 * @param log Of that take.
 * @param leastMs Nothing nearer its end than this.
 * @param ago What "1 min" is followed by: "ago", or for a take that was left "before its end".
 */
export function windMoments(
  view: TakeSoFar,
  log: readonly LogLine[],
  library: Library,
  ago: string = 'ago',
  leastMs: number = LEAST_MS,
): readonly Moment[] {
  const nowMs = view.clockMs;
  const moments: Moment[] = [];
  const add = (key: string, ms: number, label: string): void => {
    const toMs = onGrid(ms);
    if (nowMs - toMs < leastMs || moments.some((each) => each.key === key)) return;
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
    if (nowMs >= minutes * 60_000) add(`back-${minutes}`, nowMs - minutes * 60_000, `${minutes} min ${ago}`);
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

/**
 * Moments of a take that was left: where it was left first, to go on as if it had not been, then the same as above.
 * @param log Every line of every take.
 * @param derived What followed, in every take.
 */
export function keptMoments(
  { take, toMs }: LiveView['takes'][number],
  log: readonly LogLine[],
  derived: readonly Derived[],
  scenario: Scenario,
  library: Library,
): readonly Moment[] {
  const events = log.map((line) => line.event);
  const mine = new Set(eventsOfTake(events, take).map((event) => event.seq));
  const entered = new Map<string, { stateTitle: string; sinceMs: number }>();
  for (const each of keptOfTake(derived, events, take)) {
    if (each.kind !== 'state-entered' || each.atMs > toMs) continue;
    const states = scenario.threads.find((thread) => thread.id === each.thread)?.states;
    const stateTitle = states?.find((state) => state.id === each.state)?.title ?? each.state;
    entered.set(each.thread, { stateTitle, sinceMs: each.atMs });
  }
  const end = onGrid(toMs);
  return [
    { key: 'end', toMs: end, label: `Where take ${take} was left` },
    ...windMoments(
      { clockMs: end, threads: [...entered.values()] },
      log.filter((line) => mine.has(line.event.seq) && line.event.appliedAtMs <= toMs),
      library,
      'before its end',
      STEP_MS,
    ),
  ];
}

/** "0:00 to 3:20, from take 1". */
export function takeSpan({ fromMs, toMs, fromTake }: LiveView['takes'][number], current: boolean): string {
  const from = fromTake === null ? '' : `, from take ${fromTake}`;
  return `${clockText(fromMs)} to ${current ? 'now' : clockText(toMs)}${from}`;
}
