/** What a result rests on: lines of the log in words. */
import { deviceUseText } from '@breathline/patient';
import { doseUnit, type Target } from '@breathline/scenario';
import type { Act } from '../prepare-log.ts';
import type { Evidence } from '../types.ts';
import { amountText, clockText, interventionName, plainNumber, routeText, siteText } from '../words.ts';
import type { Scoring } from './scoring.ts';

/** Injectors tried for this line, before the dose that counted, that put nothing into the patient. */
export function failedTries(scoring: Scoring, target: Target, act: Act | null): Evidence[] {
  return scoring.log.undelivered
    .filter((one) => target.interventions.includes(one.intervention) && (act === null || one.atMs <= act.atMs))
    .map((one) => actEvidence(scoring, one));
}

/** Was a prompting cue spoken between the clock's start and the act? */
export function cuedBefore(scoring: Scoring, startMs: number | null, actMs: number): boolean {
  const prompting = new Set(
    scoring.run.definition.scenario.threads.flatMap((thread) =>
      thread.states.flatMap((state) => state.cues.filter((cue) => cue.kind === 'conceptual').map((cue) => cue.id)),
    ),
  );
  return scoring.log.cuesSpoken.some(
    (cue) => prompting.has(cue.cue) && cue.atMs <= actMs && (startMs === null || cue.atMs >= startMs),
  );
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
export function answerEvidence(answer: { answer: string; atMs: number | null; seq: number }): Evidence {
  const words = answer.answer === 'not-done' ? 'not done' : answer.answer;
  const when = answer.atMs === null ? '' : ` at ${clockText(answer.atMs)}`;
  return { seq: answer.seq, atMs: answer.atMs ?? 0, text: `Asked afterwards: ${words}${when}` };
}
