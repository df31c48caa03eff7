/**
 * What was wrong with the first adrenaline. Its time alone would make a tenfold dose or one into a vein look like a
 * prompt, good one: wherever the time is shown, these words stand beside it.
 */
import type { RunExport } from '@breathline/engine';
import type { GuidelinePack } from '@breathline/scenario';
import { isSystemicAdrenaline } from './clocks.ts';
import type { Act, PreparedLog } from './prepare-log.ts';
import { doseOf } from './target-result.ts';
import type { DoseCheck, Scorecard } from './types.ts';

export interface DoseFault {
  /** A few words, for the picture: "wrong dose", "against the guideline". */
  readonly brief: string;
  /** What it was, in words. */
  readonly says: string;
}

const isWrong = (dose: DoseCheck | null): boolean =>
  dose?.verdict === 'critical-error' || dose?.verdict === 'minor-error';

/** What was wrong with a dose that failed its rule; null for one that did not. */
export function doseFault(dose: DoseCheck | null): DoseFault | null {
  if (dose === null || !isWrong(dose)) return null;
  const brief = dose.routeOk === false ? 'wrong route' : 'wrong dose';
  return { brief, says: dose.slips[0] ?? dose.text };
}

/** What was wrong with the first adrenaline of this run, by its pack; null when nothing was, or none was given. */
export function firstAdrenalineFault(card: Scorecard): DoseFault | null {
  const atMs = card.clocks.firstAdrenalineMs;
  if (atMs === null) return null;
  const there = card.results.filter((one) => one.actualMs === atMs);
  const forbidden = there.find(
    (one) =>
      one.result === 'contraindicated-given' && one.target.interventions.some((id) => id.startsWith('adrenaline')),
  );
  if (forbidden) return { brief: 'against the guideline', says: forbidden.target.says };
  const asked = card.results.filter(
    ({ target }) => !target.contraindicated && target.interventions.includes('adrenaline-im'),
  );
  const judged = there.find((one) => asked.includes(one));
  if (judged) return doseFault(judged.dose);
  // The pack times an intramuscular dose, and this was none: another route or preparation.
  const first = asked.find((one) => (one.target.nth ?? 1) === 1 && one.target.dueMs !== undefined);
  return first ? { brief: 'not as the pack asks', says: `not “${first.target.says}”` } : null;
}

/** The first adrenaline that the pack's rules find no fault with worth the name; null when there was none. */
export function firstSoundAdrenaline(
  run: RunExport,
  pack: GuidelinePack,
  log: PreparedLog,
  card: Pick<Scorecard, 'results'>,
): Act | null {
  const forbidden = card.results
    .filter((one) => one.result === 'contraindicated-given')
    .flatMap(({ target }) => target.interventions);
  const asked = pack.targets
    .filter(({ contraindicated, interventions }) => !contraindicated && interventions.includes('adrenaline-im'))
    .flatMap(({ interventions }) => interventions);
  const rule = pack.targets.find(({ interventions, doseRule }) => doseRule && interventions.includes('adrenaline-im'));
  return (
    log.acts.find(
      (act) =>
        isSystemicAdrenaline(run, act) &&
        asked.includes(act.intervention) &&
        !forbidden.includes(act.intervention) &&
        doseOf({ run, pack }, { doseRule: rule?.doseRule }, act).verdict !== 'critical-error',
    ) ?? null
  );
}
