/**
 * One run in a few numbers, kept when the run ends so that a programme page never scores anything again. No names: a team
 * is a pseudonym, and only where it was given.
 */
import type { RunExport } from '@breathline/engine';
import { firstAdrenalineFault, type DoseFaultWords } from '../first-adrenaline.ts';
import type { ResultWord, Scorecard } from '../types.ts';

export interface RunSummary {
  readonly runId: string;
  readonly scenarioId: string;
  readonly packId: string;
  readonly condition: string;
  /** ISO 8601 date and time of the run. */
  readonly at: string;
  readonly ward: string | null;
  /** Pseudonym of the team; null when none was given. */
  readonly team: string | null;
  readonly take: number;
  /** From could-have-seen to the first adequate adrenaline (`ADEQUATE_SAYS`), ms; null if there was none. */
  readonly adrenalineMs: number | null;
  /** What was wrong with the first adrenaline of all; null when nothing was, or none was given. */
  readonly firstFault: DoseFaultWords | null;
  /** Nobody saw volume and strength of the dose that counts. */
  readonly doseUnseen: boolean;
  /** Does the pack ask for adrenaline at all? */
  readonly adrenalineAsked: boolean;
  /** From could-have-seen to the end of the run, ms: where a team without a dose is censored. Null if never seeable. */
  readonly watchedMs: number | null;
  readonly below90PercentMs: number;
  readonly belowPressureLimitMs: number;
  readonly results: Readonly<Record<string, ResultWord>>;
  /** Ids of objectives seen, and of all there were. */
  readonly objectives: Readonly<Record<string, 'seen' | 'not-seen' | 'not-known'>>;
  readonly wrongDoses: number;
  /** Micro-drills and repeats are unscored unless asked for. */
  readonly scored: boolean;
}

/** Summarises a scored run. `place` says where and by whom, as far as it was given. */
export function runSummary(
  run: RunExport,
  card: Scorecard,
  place: { readonly ward?: string | null; readonly team?: string | null; readonly scored?: boolean } = {},
): RunSummary {
  const { clocks } = card;
  const pack = run.definition.library.packs.find(({ id }) => id === card.packId);
  const from = clocks.couldHaveSeenMs;
  const first = card.adequateAdrenaline;
  return {
    runId: run.runId,
    scenarioId: run.definition.scenario.id,
    packId: card.packId,
    condition: pack?.condition ?? '',
    at: run.createdAt,
    ward: place.ward ?? null,
    team: place.team ?? null,
    take: card.take,
    // A dose before the signs were clear is at nought, not before it: the curve starts there.
    adrenalineMs: from === null || first === null ? null : Math.max(0, first.atMs - from),
    firstFault: firstAdrenalineFault(card)?.brief ?? null,
    doseUnseen: first?.unseen ?? false,
    // Nebulised, forbidden or through a vein is another matter: only a dose the pack asks for can be waited for.
    adrenalineAsked: card.results.some(
      ({ target }) => target.contraindicated !== true && target.interventions.includes('adrenaline-im'),
    ),
    watchedMs: from === null ? null : Math.max(0, clocks.endMs - from),
    below90PercentMs: card.danger.below90PercentMs,
    belowPressureLimitMs: card.danger.belowPressureLimitMs,
    // Where faculty judged otherwise, with a reason, theirs counts.
    results: Object.fromEntries(
      card.results.map(({ target, result, adjusted }) => [target.id, adjusted?.result ?? result]),
    ),
    objectives: Object.fromEntries(card.objectives.map(({ id, result }) => [id, result])),
    wrongDoses: card.results.filter(({ dose }) => dose?.verdict === 'critical-error').length,
    scored: place.scored ?? true,
  };
}
