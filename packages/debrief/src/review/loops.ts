/** Reassessment loops and preparation lags. */
import type { RunExport } from '@breathline/engine';
import { LETTERS, type AbcdeId } from '@breathline/patient';
import type { Intervention } from '@breathline/scenario';
import type { Act, PreparedLog } from '../prepare-log.ts';
import { clockText, listText } from '../words.ts';
import type { PreparationLag, ReassessmentLoop } from './types.ts';

/** A treatment is to be reassessed within this long of being given: the usual repeat interval of adrenaline. Teaching target. */
export const LOOP_WITHIN_MS = 300_000;
/** A vital counts as timely if it was shown at most this long after the look. Common practice, no source. */
export const VITAL_WITHIN_MS = 120_000;

/** A look again goes through most of the patient: so many of the five letters. Chosen here: pupils alone are no reassessment. */
export const LETTERS_LOOKED_AT = 3;

/** The letters A to E a look takes in. */
export function lettersLookedAt(item: Intervention | undefined): readonly AbcdeId[] {
  if (item?.reveals === undefined) return [];
  if (item.reveals.letters !== undefined) return item.reveals.letters;
  return LETTERS.filter((letter) => letter === item.group);
}

const TREATMENTS: ReadonlySet<Intervention['kind']> = new Set(['drug', 'fluid', 'oxygen', 'posture', 'procedure']);

/** Treatments that open a loop: those that are meant to change how the patient is within minutes. */
function opensLoop(item: Intervention | undefined): boolean {
  return item !== undefined && TREATMENTS.has(item.kind) && (item.effect !== undefined || item.kind !== 'procedure');
}

/**
 * One loop for each treatment. Treatments given within a minute of one another are one bundle, named after the first:
 * nobody is asked to reassess between an injection and the mask that follows it.
 */
export function reassessmentLoops(run: RunExport, log: PreparedLog): readonly ReassessmentLoop[] {
  const items = new Map(run.definition.library.interventions.map((item) => [item.id, item]));
  const treatments = log.acts.filter((act) => opensLoop(items.get(act.intervention)));
  const bundles: Act[][] = [];
  for (const act of treatments) {
    const last = bundles[bundles.length - 1];
    if (last !== undefined && act.atMs - last[0]!.atMs <= 60_000) last.push(act);
    else bundles.push([act]);
  }
  return bundles.map((bundle) => loopOf(run, log, items, bundle));
}

function loopOf(
  run: RunExport,
  log: PreparedLog,
  items: ReadonlyMap<string, Intervention>,
  bundle: readonly Act[],
): ReassessmentLoop {
  const [first] = bundle as [Act];
  const fromMs = bundle[bundle.length - 1]!.atMs;
  const untilMs = fromMs + LOOP_WITHIN_MS;
  const within = (atMs: number): boolean => atMs > fromMs && atMs <= untilMs;
  const isLook = (act: Act): boolean => items.get(act.intervention)?.reveals !== undefined || act.assessment;
  const looked = new Set<AbcdeId>();
  let lookedAtMs: number | null = null;
  for (const act of log.acts) {
    if (!isLook(act) || !within(act.atMs) || lookedAtMs !== null) continue;
    for (const letter of lettersLookedAt(items.get(act.intervention))) looked.add(letter);
    if (looked.size >= LETTERS_LOOKED_AT) lookedAtMs = act.atMs;
  }
  const vitalAtMs = freshVital(run, fromMs, Math.min(untilMs, (lookedAtMs ?? fromMs) + VITAL_WITHIN_MS));
  const conclusion = log.events.find((event) => event.kind === 'conclusion-spoken' && within(event.occurredAtMs));
  const spoken = conclusion?.kind === 'conclusion-spoken' ? conclusion : null;
  const saidAtMs = spoken?.occurredAtMs ?? null;
  const decidedFrom = saidAtMs ?? lookedAtMs;
  const nextAtMs =
    decidedFrom === null
      ? null
      : spoken?.next
        ? saidAtMs
        : (log.acts.find((act) => !isLook(act) && act.atMs > decidedFrom && act.atMs <= decidedFrom + LOOP_WITHIN_MS)
            ?.atMs ?? null);
  const cutShort = log.endMs < untilMs;
  const lookedInPart =
    lookedAtMs !== null || looked.size === 0 ? null : `only ${listText([...looked], 'and')} was looked at again`;
  const missing = [
    lookedAtMs !== null ? '' : (lookedInPart ?? 'no look at the patient was logged'),
    vitalAtMs === null ? 'no fresh vital was shown' : '',
    saidAtMs === null ? 'no conclusion was logged' : '',
    nextAtMs === null ? 'no decision was logged after it' : '',
  ].filter((text) => text !== '');
  return {
    seq: first.seq,
    atMs: first.atMs,
    what: bundle.map((act) => items.get(act.intervention)?.name ?? act.intervention).join(' + '),
    lookedAtMs,
    vitalAtMs,
    saidAtMs,
    said: spoken?.says ?? null,
    nextAtMs,
    lookedInPart,
    closed: missing.length === 0,
    missing:
      cutShort && missing.length > 0 ? [`the run ended at ${clockText(log.endMs)}, before its time was up`] : missing,
    cutShort: cutShort && missing.length > 0,
  };
}

/** First time after `fromMs` at which a screen showed a saturation, a pulse or a pressure taken since. */
function freshVital(run: RunExport, fromMs: number, untilMs: number): number | null {
  for (const { atMs, shown } of run.track) {
    if (atMs <= fromMs) continue;
    if (atMs > untilMs) return null;
    const cuff = shown.bloodPressure;
    const pressure = cuff !== null && cuff !== undefined && cuff.systolicMmHg !== null && cuff.takenAtMs > fromMs;
    if (shown.spo2Percent !== null || shown.heartRatePerMin !== null || shown.pulsePerMin !== null || pressure)
      return atMs;
  }
  return null;
}

/** One line for each dose whose preparation was logged. A "said" or "drawn up" belongs to the next dose of its kind. */
export function preparationLags(run: RunExport, log: PreparedLog): readonly PreparationLag[] {
  const used = new Set<number>();
  const before = (list: readonly Act[], act: Act): number | null => {
    const found = list.filter(
      (one) => one.intervention === act.intervention && one.atMs <= act.atMs && one.seq !== null && !used.has(one.seq),
    );
    for (const one of found) used.add(one.seq!);
    return found[0]?.atMs ?? null;
  };
  const lags: PreparationLag[] = [];
  for (const act of log.acts) {
    if (act.given?.step !== 'given') continue;
    const saidMs = before(log.said, act);
    const drawnUpMs = before(log.drawnUp, act);
    if (saidMs === null && drawnUpMs === null) continue;
    const item = run.definition.library.interventions.find(({ id }) => id === act.intervention);
    lags.push({
      what: item?.name ?? act.intervention,
      saidMs,
      drawnUpMs,
      givenMs: act.atMs,
      saidToGivenMs: saidMs === null ? null : act.atMs - saidMs,
      drawnUpToGivenMs: drawnUpMs === null ? null : act.atMs - drawnUpMs,
    });
  }
  return lags;
}
