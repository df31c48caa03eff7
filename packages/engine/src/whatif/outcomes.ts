/** What became of the patient, in a few numbers, from a run's own steps. */
import type { ArrestBy } from '../live/arrest.ts';
import type { Simulation } from '../run/simulation.ts';
import type { RunDefinition, RunEvent, TrackRow, Derived } from '../types.ts';
import { replay } from '../replay/replay.ts';
import { effectiveEvents, keptOfTake } from '../run/withdraw.ts';

/** Times are run-clock ms. */
export interface Outcomes {
  readonly msBelow90Percent: number;
  readonly msBelowPressureLimit: number;
  readonly lowestSpo2Percent: number;
  readonly lowestSystolicMmHg: number;
  /** What too much adrenaline does; without these an overdose would look like the better course. */
  readonly highestSystolicMmHg: number;
  readonly highestHeartRatePerMin: number;
  /** 0 unresponsive to 1 alert. */
  readonly lowestConsciousnessFraction: number;
  /** When the heart first gave no output; null if it never did. */
  readonly arrestAtMs: number | null;
  readonly arrestMs: number;
  /** When the patient came out of danger for good (at least RECOVERED_FOR_MS); null if never in danger or never out. */
  readonly recoveryAtMs: number | null;
  /** Whether saturation, pressure or heart were ever in danger; without it "no recovery" means "none was needed". */
  readonly everInDanger: boolean;
  /** When a state that is a good ending was first reached; null if none was. */
  readonly goodEndingAtMs: number | null;
  readonly endedAtMs: number;
  readonly endStates: Readonly<Record<string, string>>;
}

/** Danger must stay away for this long to count as recovery. Common practice, no source. */
export const RECOVERED_FOR_MS = 60_000;

export interface Course {
  readonly outcomes: Outcomes;
  readonly track: readonly TrackRow[];
  readonly derived: readonly Derived[];
  /** Hash of the final state. */
  readonly hash: string;
  /** Events that were never applied: they came after the end. */
  readonly neverApplied: readonly number[];
}

/** Sums up a 1 Hz track; `pressureLimitMmHg` is the age's low systolic limit. Spells count to the row that ends them. */
export function outcomesOf(
  track: readonly TrackRow[],
  pressureLimitMmHg: number,
  goodEndingAtMs: number | null = null,
): Outcomes {
  let below90 = 0;
  let belowLimit = 0;
  let arrestMs = 0;
  let lowestSpo2 = Infinity;
  let lowestSystolic = Infinity;
  let highestSystolic = -Infinity;
  let highestHeartRate = -Infinity;
  let lowestConsciousness = Infinity;
  let arrestAt: number | null = null;
  let lastDanger: number | null = null;
  let previous: TrackRow | null = null;
  for (const row of track) {
    const v = row.true;
    const spell = previous === null ? 0 : row.atMs - previous.atMs;
    const hypoxic = v.spo2Percent < 90;
    const shocked = v.systolicMmHg < pressureLimitMmHg;
    if (hypoxic) below90 += spell;
    if (shocked) belowLimit += spell;
    if (v.arrested >= 0.5) {
      arrestMs += spell;
      arrestAt ??= row.atMs;
    }
    if (hypoxic || shocked || v.arrested >= 0.5) lastDanger = row.atMs;
    lowestSpo2 = Math.min(lowestSpo2, v.spo2Percent);
    lowestSystolic = Math.min(lowestSystolic, v.systolicMmHg);
    highestSystolic = Math.max(highestSystolic, v.systolicMmHg);
    highestHeartRate = Math.max(highestHeartRate, v.heartRatePerMin);
    lowestConsciousness = Math.min(lowestConsciousness, v.consciousnessFraction);
    previous = row;
  }
  const endedAtMs = previous?.atMs ?? 0;
  const out = lastDanger !== null && endedAtMs - lastDanger >= RECOVERED_FOR_MS;
  return {
    msBelow90Percent: below90,
    msBelowPressureLimit: belowLimit,
    lowestSpo2Percent: lowestSpo2,
    lowestSystolicMmHg: lowestSystolic,
    highestSystolicMmHg: highestSystolic,
    highestHeartRatePerMin: highestHeartRate,
    lowestConsciousnessFraction: lowestConsciousness,
    arrestAtMs: arrestAt,
    arrestMs,
    recoveryAtMs: out ? lastDanger! + 1000 : null,
    everInDanger: lastDanger !== null,
    goodEndingAtMs,
    endedAtMs,
    endStates: previous?.states ?? {},
  };
}

/** How a course is played. */
export interface CourseOptions {
  readonly untilMs: number;
  readonly pressureLimitMmHg: number;
  /** Default: the last. */
  readonly take?: number;
  readonly arrestBy?: ArrestBy;
}

/** Plays a log to `untilMs` of a take and sums that take up. */
export function courseOf(
  definition: RunDefinition,
  events: readonly RunEvent[],
  { pressureLimitMmHg, ...options }: CourseOptions,
): Course {
  const run: Simulation = replay(definition, events, {
    ...options,
    keepSnapshots: events.some((event) => event.kind === 'event-withdrawn' || event.kind === 'wound-back'),
  });
  const applied = new Set(run.events.map((event) => event.seq));
  const derived = keptOfTake(run.derived, run.events, run.take);
  const track = keptOfTake(run.track, run.events, run.take);
  const goodEnding = derived.find(
    (fact) => fact.kind === 'state-entered' && isGoodEnding(definition, fact.thread, fact.state),
  );
  return {
    outcomes: outcomesOf(track, pressureLimitMmHg, goodEnding?.atMs ?? null),
    track,
    derived,
    hash: run.hash(),
    neverApplied: effectiveEvents(events, run.take)
      .filter((event) => !applied.has(event.seq))
      .map((event) => event.seq),
  };
}

function isGoodEnding(definition: RunDefinition, thread: string, state: string): boolean {
  const found = definition.scenario.threads
    .find((each) => each.id === thread)
    ?.states.find((each) => each.id === state);
  return found?.ending?.kind === 'good';
}
