/**
 * The printed back-up card as data: how the patient goes minute by minute, worked out by the engine itself for this run's
 * patient, weight and seed; doses from the chosen pack; cues, states and calls as written. No number is typed in here.
 */
import { clockText, rehearse, type RunDefinition, type TrackRow } from '@breathline/engine';
import type { Intervention, Rehearsal, Scenario } from '@breathline/scenario';
import { interventionById, oneTapActions, adrenalineIm, isDosed } from '$lib/console/catalogue.ts';
import type { PackDose } from '$lib/console/dose.ts';
import { suggestedDose } from '$lib/console/suggest.ts';

const MINUTE_MS = 60_000;
/** As many minutes as fit beside each other on one page. */
export const MOST_MINUTES = 20;
/** As many doses as fit on the second page with the rest. */
const MOST_DOSES = 14;

export interface MinuteRow {
  readonly minute: number;
  readonly spo2Percent: number;
  readonly heartRatePerMin: number;
  readonly respiratoryRatePerMin: number;
  readonly systolicMmHg: number;
  readonly diastolicMmHg: number;
  readonly capillaryRefillS: number;
  /** No output: the numbers beside it are what a true probe would find. */
  readonly arrested: boolean;
  /** State of the main thread in words, where it differs from the minute before; else empty. */
  readonly state: string;
}

export interface Course {
  readonly title: string;
  readonly rows: readonly MinuteRow[];
  /** What is done and when, "1:20". */
  readonly acts: readonly { readonly at: string; readonly says: string }[];
}

export interface DoseRow {
  readonly id: string;
  readonly name: string;
  readonly dose: PackDose;
}

export interface StateRow {
  readonly title: string;
  readonly says: string;
  /** Where it leads and why, as written. */
  readonly next: readonly string[];
  readonly cues: readonly { readonly after: string; readonly by: string; readonly says: string }[];
}

const stateTitle = (scenario: Scenario, thread: string, id: string): string =>
  scenario.threads.find((one) => one.id === thread)?.states.find((state) => state.id === id)?.title ?? id;

/** One row a minute from the track's seconds, the first at 0. */
export function minuteRows(scenario: Scenario, track: readonly TrackRow[], forMs: number): MinuteRow[] {
  const main = scenario.threads[0]?.id ?? '';
  const rows: MinuteRow[] = [];
  let before = '';
  for (let atMs = 0; atMs <= Math.min(forMs, MOST_MINUTES * MINUTE_MS); atMs += MINUTE_MS) {
    // The track has a row a second; the first may be a step after zero.
    const row = track.find((each) => each.atMs >= atMs);
    if (row === undefined) break;
    const state = row.states[main] ?? '';
    const vitals = row.true;
    rows.push({
      minute: atMs / MINUTE_MS,
      spo2Percent: Math.round(vitals.spo2Percent),
      heartRatePerMin: Math.round(vitals.heartRatePerMin),
      respiratoryRatePerMin: Math.round(vitals.respiratoryRatePerMin),
      systolicMmHg: Math.round(vitals.systolicMmHg),
      diastolicMmHg: Math.round(vitals.diastolicMmHg),
      capillaryRefillS: Math.round(vitals.capillaryRefillS),
      arrested: Math.round(vitals.pulseRatePerMin) === 0,
      state: state === before ? '' : stateTitle(scenario, main, state),
    });
    before = state;
  }
  return rows;
}

/** The rehearsal that shows good care: the one so named, else the first in which anything is done; null without any. */
export function textbookOf(scenario: Scenario): Rehearsal | null {
  return (
    scenario.rehearsals.find(({ name }) => name === 'textbook') ??
    scenario.rehearsals.find(({ acts }) => acts.length > 0) ??
    null
  );
}

/** Nobody does anything. Costs a second or so of work. Throws EngineError when the definition can not be run. */
export function untreatedCourse(definition: RunDefinition): Course {
  const forMs = MOST_MINUTES * MINUTE_MS;
  const result = rehearse(definition, { name: 'untreated', forMs, acts: [], expect: [] });
  return { title: 'Nobody treats', rows: minuteRows(definition.scenario, result.track, forMs), acts: [] };
}

/** Good care, on time; null when the scenario has no such rehearsal. */
export function textbookCourse(definition: RunDefinition): Course | null {
  const rehearsal = textbookOf(definition.scenario);
  if (rehearsal === null) return null;
  const result = rehearsal.acts.length === 0 ? null : rehearse(definition, { ...rehearsal, expect: [] });
  if (result === null) return null;
  const acts = result.events.flatMap((event) => {
    if (event.kind === 'intervention' || event.kind === 'assessment') {
      const item = interventionById(definition.library, event.intervention);
      return [{ at: clockText(event.appliedAtMs), says: item?.name ?? event.intervention }];
    }
    return event.kind === 'device-attached' ? [{ at: clockText(event.appliedAtMs), says: `${event.device} on` }] : [];
  });
  return {
    title: rehearsal.name === 'textbook' ? 'Textbook care' : `Rehearsal “${rehearsal.name}”`,
    rows: minuteRows(definition.scenario, result.track, rehearsal.forMs),
    acts,
  };
}

/** The doses a team is likeliest to need: what the author marked, the pack's own, then the formulary's one-tap ones. */
export function doseRows(definition: RunDefinition, ageYears: number, weightKg: number): DoseRow[] {
  const { library, scenario, packId } = definition;
  const pack = library.packs.find(({ id }) => id === packId);
  const items = [
    adrenalineIm(library),
    ...scenario.handy.map((id) => interventionById(library, id)),
    ...(pack?.doses ?? []).map((rule) => interventionById(library, rule.intervention)),
    ...oneTapActions(library, scenario),
  ].filter((item): item is Intervention => item !== undefined && isDosed(item));
  const rows = new Map<string, DoseRow>();
  for (const item of items) {
    if (rows.has(item.id) || rows.size >= MOST_DOSES) continue;
    const dose = suggestedDose(definition, item, ageYears, weightKg);
    if (dose !== null) rows.set(item.id, { id: item.id, name: item.name, dose });
  }
  return [...rows.values()];
}

/** Every state with its cues and ways on, thread by thread. */
export function stateRows(scenario: Scenario): StateRow[] {
  return scenario.threads.flatMap((thread) =>
    thread.states.map((state) => ({
      title: thread === scenario.threads[0] ? state.title : `${thread.title}: ${state.title}`,
      says: state.says ?? '',
      next: state.transitions.map(
        (way) => `${stateTitle(scenario, thread.id, way.to)}${way.says ? ` (${way.says.replace(/\.$/, '')})` : ''}`,
      ),
      cues: state.cues.map((cue) => ({ after: clockText(cue.afterMs), by: cue.by, says: cue.says })),
    })),
  );
}
