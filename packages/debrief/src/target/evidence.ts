/** What a result rests on: lines of the log in words. */
import { deviceUseText } from '@breathline/patient';
import { doseUnit, type Target } from '@breathline/scenario';
import { activeMsBetween, type Act, type Answer } from '../prepare-log.ts';
import type { ReconcileWords } from '../reconcile-words.ts';
import type { Evidence } from '../types.ts';
import { amountText, clockText, interventionName, plainNumber, routeText, siteText } from '../words.ts';
import type { Scoring } from './scoring.ts';

/** Injectors tried for this line, before the dose that counted, that put nothing into the patient. */
export function failedTries(scoring: Scoring, target: Target, act: Act | null): Evidence[] {
  return scoring.log.undelivered
    .filter((one) => target.interventions.includes(one.intervention) && (act === null || one.atMs <= act.atMs))
    .map((one) => actEvidence(scoring, one));
}

/**
 * For how long a spoken cue may have prompted an act, where the scenario gives no time of its own. Common practice, no
 * source: a minute is about what hearing, deciding and reaching for it takes.
 */
export const CUE_PROMPTS_FOR_MS = 60_000;

/**
 * Was a cue spoken shortly before the act that could have prompted this very act? A cue that does not say what it prompts
 * marks nothing.
 */
export function cuedBefore(scoring: Scoring, act: Act): boolean {
  const { log, run } = scoring;
  const cues = new Map(
    run.definition.scenario.threads.flatMap(({ states }) =>
      states.flatMap((state) => state.cues.map((cue) => [cue.id, cue] as const)),
    ),
  );
  return log.cuesSpoken.some(({ cue: id, atMs }) => {
    const cue = cues.get(id);
    if (cue?.kind !== 'conceptual' || cue.prompts?.includes(act.intervention) !== true) return false;
    const sinceMs = activeMsBetween(log.pauses, atMs, act.atMs);
    return sinceMs >= 0 && sinceMs <= (cue.promptsForMs ?? CUE_PROMPTS_FOR_MS);
  });
}

/** Said and drawn up, before the dose itself: what the preparation lag is read from. */
export function preparation(scoring: Scoring, act: Act): Evidence[] {
  const { log, run } = scoring;
  const previous = [...log.acts].reverse().find((one) => one.intervention === act.intervention && one.atMs < act.atMs);
  const since = previous?.atMs ?? -1;
  const latest = (acts: readonly Act[]): Act | undefined =>
    acts.find((one) => one.intervention === act.intervention && one.atMs <= act.atMs && one.atMs > since);
  const name = interventionName(run.definition.library, act.intervention);
  const out: Evidence[] = [];
  const said = latest(log.said);
  if (said && said.seq !== act.seq) out.push({ seq: said.seq, atMs: said.atMs, text: `${name} asked for` });
  const drawn = latest(log.drawnUp);
  if (drawn) out.push({ seq: drawn.seq, atMs: drawn.atMs, text: `${name} drawn up` });
  return out;
}

/** One act as a line of evidence. */
export function actEvidence(scoring: Scoring, act: Act): Evidence {
  const name = interventionName(scoring.run.definition.library, act.intervention);
  const body = act.given;
  const known = scoring.run.definition.library.interventions.find((one) => one.id === act.intervention);
  const details = [
    body && body.amount !== null ? amountText(body.amount, doseUnit(known, body.unit)) : null,
    body?.route ? routeText(body.route) : null,
    body?.site ? siteText(body.site) : null,
    typeof body?.flowLPerMin === 'number' ? `${plainNumber(body.flowLPerMin)} L/min` : null,
    known?.deviceDoses ? deviceUseText(body?.deviceUse) : null,
    act.reconciled ? "by the team's own account" : null,
  ].filter((one) => one !== null);
  return { seq: act.seq, atMs: act.atMs, text: [name, ...details].join(', ') };
}

/** What the team said when asked afterwards. */
export function answerEvidence(answer: Answer, says: ReconcileWords): Evidence {
  const words = { done: says.done, 'not-done': says.notDone, unsure: says.unsure }[answer.answer].toLowerCase();
  const when = answer.atMs === null ? '' : ` at ${clockText(answer.atMs)}`;
  return { seq: answer.seq, atMs: answer.atMs, text: `Asked afterwards: ${words}${when}` };
}
