/** The clocks of a run: when things could have been seen, were seen, were said and were done. */
import { deviceDelivery } from '@breathline/patient';
import type { RunExport } from '@breathline/engine';
import { allowedDose, type GuidelinePack } from '@breathline/scenario';
import { ageLimits, type AgeLimits } from './age-limits.ts';
import { amountGiven } from './dose-check.ts';
import {
  conditionSeries,
  conditionValues,
  couldSeeView,
  didSeeView,
  trueView,
  type ConditionContext,
  type View,
} from './condition.ts';
import type { Act, PreparedLog } from './prepare-log.ts';
import type { Clocks } from './types.ts';

/** The three pairs of eyes a condition may be asked of. */
export interface Eyes {
  readonly couldSee: ConditionContext;
  readonly didSee: ConditionContext;
  readonly truth: ConditionContext;
  readonly limits: AgeLimits;
}

/** Age and weight the run was played with (a run may change the scenario's). */
export function runPatient(run: RunExport): { readonly ageYears: number; readonly weightKg: number } {
  const { scenario, patient } = run.definition;
  return {
    ageYears: patient?.ageYears ?? scenario.patient.ageYears,
    weightKg: patient?.weightKg ?? scenario.patient.weightKg,
  };
}

/** Builds the contexts that recognition criteria and due conditions are evaluated in. Rows after the end are left out. */
export function openEyes(run: RunExport, pack: GuidelinePack, log: PreparedLog): Eyes {
  const track = run.track.filter((row) => row.atMs <= log.endMs);
  const { ageYears, weightKg } = runPatient(run);
  const limits = ageLimits(ageYears);
  const doseShareOf = (index: number): number | null => {
    const act = log.acts[index];
    const rule = pack.doses.find((one) => one.intervention === act?.intervention);
    if (!act?.given || !rule) return null;
    // The rule is in the intervention's own unit; the dose may have been logged in another (0.3 mg).
    const intervention = run.definition.library.interventions.find((one) => one.id === act.intervention);
    const { amount } = amountGiven(act.given, intervention?.unit ?? act.given.unit ?? '', intervention);
    if (amount === null) return null;
    const allowed = allowedDose(rule, { ageYears, weightKg });
    const { muscleShare, skinShare } = deviceDelivery(
      intervention?.deviceDoses === undefined ? undefined : act.given.deviceUse,
    );
    return allowed && allowed.low > 0 ? (amount * (muscleShare + skinShare)) / allowed.low : null;
  };
  const context = (view: View): ConditionContext => ({
    track,
    view,
    log,
    limits,
    doseShareOf,
    mainThread: run.definition.scenario.threads[0]?.id ?? null,
  });
  return {
    couldSee: context(couldSeeView(track)),
    didSee: context(didSeeView(track, log, run.definition.library.interventions)),
    truth: context(trueView(track)),
    limits,
  };
}

/** First row where any recognition criterion holds, with all that hold there, in the pack's order. */
function recognised(pack: GuidelinePack, context: ConditionContext): { atMs: number; because: string } | null {
  const series = pack.recognition.map((one) => conditionSeries(one.when, context));
  for (let index = 0; index < context.track.length; index++) {
    const atMs = context.track[index]?.atMs ?? 0;
    const holding = pack.recognition.filter((_, which) => series[which]?.[index] === true);
    if (holding.length === 0) continue;
    const because = holding.map((one) => {
      const values = conditionValues(one.when, context, atMs);
      return values ? `${one.says}: ${values}` : one.says;
    });
    return { atMs, because: because.join('; ') };
  }
  return null;
}

/** Is this the drug that anaphylaxis clocks run on, given so that it reaches the whole body (not nebulised)? */
export function isSystemicAdrenaline(run: RunExport, act: Act): boolean {
  const known = run.definition.library.interventions.find((one) => one.id === act.intervention);
  const route = act.given?.route ?? known?.route;
  return known?.drug === 'adrenaline' && known.kind === 'drug' && route !== 'neb' && route !== 'inhaled';
}

/**
 * Works out every clock. Recognition reads the track once a second, so could-have-seen and did-see are whole seconds.
 * `saidMs` is the first time the drug was asked for, or the diagnosis or a call for help was spoken.
 */
export function runClocks(run: RunExport, pack: GuidelinePack, log: PreparedLog, eyes: Eyes): Clocks {
  const could = recognised(pack, eyes.couldSee);
  const did = recognised(pack, eyes.didSee);
  const spoken = [
    ...log.said.filter((act) => isSystemicAdrenaline(run, act)),
    ...log.acts.filter((act) => isDeclaration(run, pack, act)),
  ].map((act) => act.atMs);
  const adrenaline = log.acts.find((act) => isSystemicAdrenaline(run, act));
  return {
    arrivalMs: log.arrivalMs,
    couldHaveSeenMs: could?.atMs ?? null,
    couldHaveSeenBecause: could?.because ?? null,
    didSeeMs: did?.atMs ?? null,
    didSeeBecause: did?.because ?? null,
    saidMs: spoken.length > 0 ? Math.min(...spoken) : null,
    firstAdrenalineMs: adrenaline?.atMs ?? null,
    endMs: log.endMs,
  };
}

/**
 * A call, or a team act that says the diagnosis aloud. Where the pack asks for certain words ("says anaphylaxis"), only those
 * count: naming something else must not stop the clock that the pack's own line leaves open.
 */
function isDeclaration(run: RunExport, pack: GuidelinePack, act: Act): boolean {
  const saysIt = (id: string): boolean => {
    const known = run.definition.library.interventions.find((one) => one.id === id);
    return known?.kind === 'team' && known.search.includes('diagnosis');
  };
  const known = run.definition.library.interventions.find((one) => one.id === act.intervention);
  if (known?.kind === 'call') return true;
  const asked = pack.targets.flatMap((target) => target.interventions).filter(saysIt);
  return saysIt(act.intervention) && (asked.length === 0 || asked.includes(act.intervention));
}
