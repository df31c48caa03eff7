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

/** What can be wrong with a first dose, in the fewest words. */
export const DOSE_FAULTS = ['wrong dose', 'wrong route', 'against the guideline', 'not as the pack asks'] as const;
export type DoseFaultWords = (typeof DOSE_FAULTS)[number];

/** What "adequate" means: stands beside every figure that waits for such a dose. */
export const ADEQUATE_SAYS =
  'Adequate means adrenaline as the pack asks for it, with a dose and a route that its rule does not call wrong. A wrong dose stops no clock. One whose volume and strength nobody saw counts, as nothing speaks against it.';

export interface DoseFault {
  /** A few words, for the picture. */
  readonly brief: DoseFaultWords;
  /** What it was, in words. */
  readonly says: string;
}

// A wrong route is wrong also where nobody saw how much went in.
const isWrong = (dose: DoseCheck | null): boolean =>
  dose?.verdict === 'critical-error' || dose?.verdict === 'minor-error' || dose?.routeOk === false;

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

/** Adrenaline for the whole body that the pack asks for and does not forbid here, in time, each with what its rule says. */
function askedAdrenaline(
  run: RunExport,
  pack: GuidelinePack,
  log: PreparedLog,
  card: Pick<Scorecard, 'results'>,
): readonly { readonly act: Act; readonly dose: DoseCheck }[] {
  const forbidden = card.results
    .filter((one) => one.result === 'contraindicated-given')
    .flatMap(({ target }) => target.interventions);
  const asked = pack.targets
    .filter(({ contraindicated, interventions }) => !contraindicated && interventions.includes('adrenaline-im'))
    .flatMap(({ interventions }) => interventions);
  const rule = pack.targets.find(({ interventions, doseRule }) => doseRule && interventions.includes('adrenaline-im'));
  return log.acts
    .filter(
      (act) =>
        isSystemicAdrenaline(run, act) && asked.includes(act.intervention) && !forbidden.includes(act.intervention),
    )
    .map((act) => ({ act, dose: doseOf({ run, pack }, { doseRule: rule?.doseRule }, act) }));
}

/** The first adrenaline that the pack's rules find no fault with worth the name; null when there was none. */
export function firstSoundAdrenaline(
  run: RunExport,
  pack: GuidelinePack,
  log: PreparedLog,
  card: Pick<Scorecard, 'results'>,
): Act | null {
  return askedAdrenaline(run, pack, log, card).find(({ dose }) => dose.verdict !== 'critical-error')?.act ?? null;
}

/** The first adrenaline that is adequate (`ADEQUATE_SAYS`), and whether its volume and strength went unseen. */
export function firstAdequateAdrenaline(
  run: RunExport,
  pack: GuidelinePack,
  log: PreparedLog,
  card: Pick<Scorecard, 'results'>,
): { readonly atMs: number; readonly unseen: boolean } | null {
  const found = askedAdrenaline(run, pack, log, card).find(({ dose }) => !isWrong(dose));
  return found ? { atMs: found.act.atMs, unseen: found.dose.verdict === 'unverified' } : null;
}

/** The two lines about adrenaline of a paper or a terminal: the first, with its fault, and the first adequate one. */
export function adrenalineLines(card: Scorecard): readonly {
  readonly says: string;
  readonly atMs: number | null;
  readonly note: string | null;
}[] {
  const fault = firstAdrenalineFault(card);
  const first = { says: 'First adrenaline', atMs: card.clocks.firstAdrenalineMs, note: fault?.says ?? null };
  if (fault === null) return [first];
  return [
    { ...first, note: `${fault.brief}: ${fault.says}` },
    { says: 'First adequate dose', atMs: card.adequateAdrenaline?.atMs ?? null, note: null },
  ];
}
