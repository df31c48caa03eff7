/**
 * The clock everyone asks for: how long since each adrenaline dose, when the chosen pack says the next may be due, and
 * which step (said, drawn up, given) the coming dose has reached.
 */
import { LETTERS_LOOKED_AT, ageLimits, lettersLookedAt } from '@breathline/debrief';
import type { RunView } from '@breathline/engine';
import { GRADES, type AbcdeId } from '@breathline/patient';
import type { GuidelinePack, Library, Target } from '@breathline/scenario';
import type { LogLine } from '@breathline/protocol';
import { clockText } from './format.ts';
import { interventionById, isAdrenaline, isAdrenalineDose } from './catalogue.ts';

export type DueStatus = 'none-given' | 'too-soon' | 'may-repeat' | 'due' | 'overdue';

export interface AdrenalineClock {
  /** Doses given, oldest first: run-clock ms of each, with its number and how long ago. */
  readonly doses: readonly {
    readonly number: number;
    readonly seq: number;
    readonly atMs: number;
    readonly agoMs: number;
    readonly amount: number | null;
    readonly unit: string | null;
  }[];
  readonly sinceLastMs: number | null;
  readonly status: DueStatus;
  /** Run-clock ms from which a repeat is no longer early, when it is due, and when it is late. */
  readonly mayFromMs: number | null;
  readonly dueAtMs: number | null;
  readonly lateAtMs: number | null;
  /** What the pack asks of the repeat; null when it says nothing, or nothing was given. */
  readonly target: Target | null;
}

/** The pack's target for a repeat of adrenaline after the previous dose; for a given dose number where it says so. */
export function repeatTarget(library: Library, pack: GuidelinePack, nextDose: number): Target | null {
  const adrenaline = (id: string) => {
    const item = interventionById(library, id);
    return item !== undefined && isAdrenaline(item);
  };
  const repeats = pack.targets.filter(
    (target) =>
      target.clock === 'previous-dose' &&
      target.contraindicated !== true &&
      target.interventions.some(adrenaline) &&
      (target.clockIntervention === undefined || adrenaline(target.clockIntervention)),
  );
  return (
    repeats.find((target) => target.nth === nextDose) ??
    repeats.find((target) => target.nth === undefined) ??
    repeats.at(-1) ??
    null
  );
}

/** The adrenaline clock at `nowMs`. A repeat is only ever due "if problems persist": the words are the caller's. */
export function adrenalineClock(
  doses: RunView['doses'],
  library: Library,
  pack: GuidelinePack | undefined,
  nowMs: number,
): AdrenalineClock {
  const given = doses
    .map((dose) => ({ dose, item: interventionById(library, dose.intervention) }))
    .filter(({ item }) => item !== undefined && isAdrenalineDose(item))
    .sort((a, b) => a.dose.atMs - b.dose.atMs || a.dose.seq - b.dose.seq)
    .map(({ dose, item }, index) => ({
      number: index + 1,
      seq: dose.seq,
      atMs: dose.atMs,
      agoMs: Math.max(0, nowMs - dose.atMs),
      amount: dose.amount,
      unit: item?.unit ?? null,
    }));
  const last = given.at(-1);
  if (!last) {
    return {
      doses: given,
      sinceLastMs: null,
      status: 'none-given',
      mayFromMs: null,
      dueAtMs: null,
      lateAtMs: null,
      target: null,
    };
  }
  const target = pack ? repeatTarget(library, pack, given.length + 1) : null;
  const at = (ms: number | undefined) => (ms === undefined ? null : last.atMs + ms);
  const dueAtMs = at(target?.dueMs);
  const mayFromMs = at(target?.notBeforeMs) ?? dueAtMs;
  const lateAtMs = at(target?.limitMs);
  let status: DueStatus = 'too-soon';
  if (mayFromMs !== null && nowMs >= mayFromMs) status = 'may-repeat';
  if (dueAtMs !== null && nowMs >= dueAtMs) status = 'due';
  if (lateAtMs !== null && nowMs >= lateAtMs) status = 'overdue';
  return {
    doses: given,
    sinceLastMs: last.agoMs,
    status,
    mayFromMs,
    dueAtMs,
    lateAtMs,
    target,
  };
}

/** Whole minutes tell doses apart; within the first, seconds do. */
const MINUTE_MS = 60_000;

/**
 * How long ago each dose was given, newest first, in few characters: the newest to the second, the others in whole minutes.
 * "1:05 · 6 · 11 min"
 */
export function doseAges(doses: readonly { readonly agoMs: number }[]): string {
  const [newest, ...older] = doses.toReversed();
  if (newest === undefined) return '';
  const ages = older.map(({ agoMs }) => (agoMs < MINUTE_MS ? clockText(agoMs) : String(Math.floor(agoMs / MINUTE_MS))));
  const minutes = older.some(({ agoMs }) => agoMs >= MINUTE_MS) ? '\u00a0min' : '';
  return [clockText(newest.agoMs), ...ages].join(' · ') + minutes;
}

/**
 * Do airway, breathing or circulation problems still show? Packs ask for another dose only while they do. From the
 * patient's own findings: one of A, B or C at least moderate, or a systolic pressure that is low for the age.
 */
export function problemsPersist(view: Pick<RunView, 'findings' | 'trueVitals'>, ageYears: number): boolean {
  const least = GRADES.indexOf('moderate');
  return (
    view.findings.some(({ letter, grade }) => ABC.has(letter) && GRADES.indexOf(grade) >= least) ||
    view.trueVitals.systolicMmHg < ageLimits(ageYears).systolicLowMmHg
  );
}
const ABC: ReadonlySet<AbcdeId> = new Set(['airway', 'breathing', 'circulation']);

/**
 * Why a repeat may be due when it is, in words: what the pack asks, and that the span around the guideline's own interval
 * is a margin for a drill's clock.
 */
export function repeatReason(target: Target): string {
  const says = target.says.replace(/[.]$/, '');
  const [from, due, late] = [target.notBeforeMs, target.dueMs, target.limitMs].map((ms) =>
    ms === undefined ? null : clockText(ms),
  );
  const span = [
    from === null ? null : `early before ${from}`,
    due === null ? null : `on time up to ${due}`,
    late === null ? null : `late from ${late}`,
  ].filter((part) => part !== null);
  if (span.length === 0) return `${says}.`;
  const margin =
    target.timeStatus === 'guideline'
      ? 'the guideline’s own times'
      : 'a teaching margin either side of the guideline’s interval, since a drill’s clock is not exact';
  return `${says}. After the last dose this pack counts it ${span.join(', ')}: ${margin}.`;
}

export type HeroStep = 'said' | 'drawn-up' | 'given';

export interface HeroState {
  /** Number of the dose now being worked on. */
  readonly doseNumber: number;
  /** When this dose was said and drawn up (run-clock ms), if logged. */
  readonly saidAtMs: number | null;
  readonly drawnUpAtMs: number | null;
  /** The step a plain tap logs. */
  readonly next: HeroStep;
}

/**
 * Where the coming dose has got to. Steps after the last "given" belong to the next dose; withdrawn ones count for
 * nothing; a step may be skipped (a syringe handed over without a word).
 */
export function heroState(log: readonly LogLine[], interventionIds: ReadonlySet<string>): HeroState {
  let doseNumber = 1;
  let saidAtMs: number | null = null;
  let drawnUpAtMs: number | null = null;
  const lines = log
    .filter((line) => line.withdrawnBy === null)
    .map((line) => line.event)
    .sort((a, b) => a.occurredAtMs - b.occurredAtMs || a.seq - b.seq);
  for (const event of lines) {
    if (event.kind !== 'intervention' || !interventionIds.has(event.intervention)) continue;
    if (event.step === 'said') saidAtMs = event.occurredAtMs;
    else if (event.step === 'drawn-up') drawnUpAtMs = event.occurredAtMs;
    else {
      doseNumber += 1;
      saidAtMs = null;
      drawnUpAtMs = null;
    }
  }
  const next: HeroStep = drawnUpAtMs !== null ? 'given' : saidAtMs !== null ? 'drawn-up' : 'said';
  return { doseNumber, saidAtMs, drawnUpAtMs, next };
}

/** Run-clock ms of the last assessment in the log, or null. */
export function lastAssessmentMs(log: readonly LogLine[], library: Library): number | null {
  let latest: number | null = null;
  for (const line of log) {
    if (line.withdrawnBy !== null || line.event.kind !== 'assessment') continue;
    // Pupils alone do not put off the next look at the whole patient.
    if (lettersLookedAt(interventionById(library, line.event.intervention)).length < LETTERS_LOOKED_AT) continue;
    if (latest === null || line.event.occurredAtMs > latest) latest = line.event.occurredAtMs;
  }
  return latest;
}

/**
 * Vitals on their way back to the model: the last word on them in the log is a release. They stay masked until the
 * ramp ends, so they are still among the overridden.
 */
export function handingBack(log: readonly LogLine[]): ReadonlySet<string> {
  const releasing = new Set<string>();
  for (const { event, withdrawnBy } of log) {
    if (withdrawnBy !== null) continue;
    if (event.kind === 'vital-released') releasing.add(event.vital);
    else if (event.kind === 'vital-overridden') releasing.delete(event.vital);
  }
  return releasing;
}

/** Was the clock running when the last real-emergency stop came? Then a mis-tap is mended by going on; else by staying paused. */
export function ranBeforeStop(log: readonly LogLine[]): boolean {
  const stop = log.findLastIndex((line) => line.event.kind === 'real-emergency-stop');
  const before = (stop < 0 ? log : log.slice(0, stop)).findLast(
    ({ event, withdrawnBy }) =>
      withdrawnBy === null && ['run-started', 'run-paused', 'run-resumed'].includes(event.kind),
  );
  return before?.event.kind === 'run-started' || before?.event.kind === 'run-resumed';
}
