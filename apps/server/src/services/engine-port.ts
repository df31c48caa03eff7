/** What the server asks of a run in memory, and the two ways it is answered. */
import {
  createRun,
  type Derived,
  type Explanation,
  type RunEvent,
  type RunPhase,
  type RunView,
  type TrackRow,
} from '@breathline/engine';
import type { ChestSounds, ScoresAnswer, WhyAnswer } from '@breathline/protocol';
import { chestSounds } from '../projections/chest.ts';
import { Refusal } from '../refusal.ts';
import type { RunBody } from '../store/run-store.ts';

const SECOND_MS = 1_000;

export type VitalId = WhyAnswer['vital'];
export type WholeScores = Pick<ScoresAnswer, 'consciousness' | 'scores'>;

/** How a run was told to be made. */
export interface EngineOptions {
  /** Called at each whole second stepped to, also while time away is lived through. */
  readonly onSecond?: (run: EngineRun) => void;
}

export interface EngineRun {
  /** Where the run's clock stands, ms. */
  readonly clockMs: number;
  readonly phase: RunPhase;
  /** Everything derived so far; only ever grows. */
  readonly derived: readonly Derived[];
  /** Steps to `ms` (a multiple of STEP_MS); does nothing unless running. */
  advanceTo(ms: number): void;
  /** Takes an event whose `appliedAtMs` is the clock. */
  apply(event: RunEvent): void;
  view(): RunView;
  trackRow(): TrackRow;
  /** Why a vital is what it is, in the model's terms. */
  explain(vital: VitalId): Explanation;
  /** Bedside scores now, whole. */
  scores(): WholeScores;
  /** How fast the run goes when it runs. */
  speed(): number;
  /** What a stethoscope would hear now; null where nothing is played. */
  chest(): ChestSounds | null;
}

/** A run that is played here. The server keeps the track itself, on disk. */
export const liveEngine = ({ definition }: RunBody, { onSecond }: EngineOptions = {}): EngineRun => {
  const run = createRun(definition, {
    keepTrack: false,
    onTick: ({ clockMs }) => {
      if (clockMs % SECOND_MS === 0) onSecond?.(engine);
    },
  });
  const engine: EngineRun = Object.assign(run, {
    speed: () => run.live().speed,
    chest: () => chestSounds(run.trackRow().signs, ...run.chestSides()),
  });
  return engine;
};

/**
 * A finished run that was played elsewhere, or by another version of the engine: its numbers are the frozen ones, so
 * nothing is worked out again. Notes and answers may still be added to its log.
 */
export const frozenEngine = ({ derived }: RunBody, clockMs: number): EngineRun => {
  const frozen = (): never => {
    throw new Refusal(
      'wrong-phase',
      'This run was played elsewhere or by another version; it can be debriefed, not shown live.',
    );
  };
  return {
    clockMs,
    phase: 'ended',
    derived: derived ?? [],
    advanceTo: () => undefined,
    apply: () => undefined,
    view: frozen,
    trackRow: frozen,
    explain: frozen,
    scores: frozen,
    speed: () => 1,
    chest: () => null,
  };
};
