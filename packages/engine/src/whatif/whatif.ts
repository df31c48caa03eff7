/**
 * What if: the same run with its log edited. Both courses run on today's engine, so that only the edit differs; the
 * frozen track of the export is not touched. Later acts are kept, and marked where they no longer make sense.
 */
import { ageNorms, UNCERTAIN } from '@breathline/patient';
import { EngineError } from '../errors.ts';
import type { ArrestBy } from '../live/arrest.ts';
import { profileOf } from '../run/plan.ts';
import { exportOfTake } from '../replay/export.ts';
import { effectiveEvents, isWithdrawable } from '../run/withdraw.ts';
import { STEP_MS, type RunDefinition, type RunEvent, type RunExport, type WhatIfEdit } from '../types.ts';
import { ENGINE_VERSION } from '../version.ts';
import { courseOf, type Course, type Outcomes } from './outcomes.ts';

/** One outcome, both ways. `change` is alternative minus base. Null: it did not happen. */
export interface Difference {
  readonly id: keyof Omit<Outcomes, 'endStates' | 'endedAtMs' | 'everInDanger'>;
  readonly says: string;
  readonly unit: 'ms' | 'run-clock ms' | '%' | 'mmHg' | '/min' | 'fraction';
  readonly base: number | null;
  readonly alternative: number | null;
  readonly change: number | null;
  /** Least and most change when each uncertain constant of the model is moved to either end; null when not run. */
  readonly changeRange: readonly [number, number] | null;
  /** Values of base and alternative over the same runs. */
  readonly baseRange: readonly [number, number] | null;
  readonly alternativeRange: readonly [number, number] | null;
  /** In how many of the courses looked at (the model as it is, and with each constant moved) it has a value at all. */
  readonly happens: { readonly base: number; readonly alternative: number; readonly of: number };
  /** Why a course has no value, where that is not plain: never in danger, or not out of it by the end. */
  readonly without?: { readonly base?: Without; readonly alternative?: Without };
}

/** A course without a moment from which it is out of danger: it never was in any, or still is. */
export type Without = 'never-in-danger' | 'in-danger-at-the-end';

/** An act of the log that no longer fits the alternative course. It is kept. */
export interface OddAct {
  readonly seq: number;
  readonly atMs: number;
  readonly why: string;
}

export interface WhatIf {
  readonly engineVersion: string;
  /** The engine the run was made with; the two may differ, so the base may differ from the frozen track. */
  readonly recordedWith: string;
  readonly edits: readonly WhatIfEdit[];
  readonly base: Course;
  readonly alternative: Course;
  /** The edited log. */
  readonly events: readonly RunEvent[];
  readonly differences: readonly Difference[];
  readonly oddActs: readonly OddAct[];
  /** True when the two courses are the same to the last bit. */
  readonly identical: boolean;
  /** How many constants were varied for the ranges. */
  readonly uncertainConstants: number;
}

export interface WhatIfOptions {
  /** Ids of uncertain constants to vary one at a time; default all; [] for none. */
  readonly uncertain?: readonly string[];
}

export const OUTCOMES: readonly Pick<Difference, 'id' | 'says' | 'unit'>[] = [
  { id: 'msBelow90Percent', says: 'Time with oxygen saturation below 90 %', unit: 'ms' },
  { id: 'msBelowPressureLimit', says: 'Time with systolic pressure below the limit for age', unit: 'ms' },
  { id: 'lowestSpo2Percent', says: 'Lowest oxygen saturation', unit: '%' },
  { id: 'lowestSystolicMmHg', says: 'Lowest systolic pressure', unit: 'mmHg' },
  { id: 'highestSystolicMmHg', says: 'Highest systolic pressure', unit: 'mmHg' },
  { id: 'highestHeartRatePerMin', says: 'Highest heart rate', unit: '/min' },
  { id: 'lowestConsciousnessFraction', says: 'Lowest level of consciousness (1 = alert)', unit: 'fraction' },
  { id: 'arrestAtMs', says: 'Cardiac arrest at', unit: 'run-clock ms' },
  { id: 'arrestMs', says: 'Time in cardiac arrest', unit: 'ms' },
  { id: 'recoveryAtMs', says: 'Out of danger for good from', unit: 'run-clock ms' },
  { id: 'goodEndingAtMs', says: 'A good ending reached at', unit: 'run-clock ms' },
];

/** Applies edits to a log; what can be edited is what counted in `take` (default the last). Throws EngineError when an edit names no event or asks for what cannot be. */
export function editLog(events: readonly RunEvent[], edits: readonly WhatIfEdit[], take?: number): RunEvent[] {
  let log = [...events];
  const counting = new Set(effectiveEvents(events, take).map((event) => event.seq));
  for (const edit of edits) {
    const event = log.find((each) => each.seq === edit.seq);
    if (event === undefined) {
      throw new EngineError(
        'edit-unknown-event',
        `there is no event ${edit.seq} in this run`,
        `Events run from 1 to ${events.length}.`,
      );
    }
    if (!isWithdrawable(event) || event.kind === 'event-withdrawn') {
      throw new EngineError(
        'edit-not-allowed',
        `event ${edit.seq} is “${event.kind}”: only what people did can be changed, not the clock or an undo`,
      );
    }
    if (!counting.has(event.seq)) {
      throw new EngineError(
        'edit-not-allowed',
        `event ${edit.seq} was taken back in this run, or belongs to another take, so this patient never had it`,
        'Choose an act that counted.',
      );
    }
    if (edit.kind === 'drop') {
      log = log.filter(
        (each) => each.seq !== edit.seq && !(each.kind === 'event-withdrawn' && each.targetSeq === edit.seq),
      );
    } else {
      const changed = edit.kind === 'move' ? moved(event, edit.byMs) : redosed(event, edit.amount);
      log = log.map((each) => (each.seq === edit.seq ? changed : each));
    }
  }
  return log;
}

const LONGEST_MS = 24 * 3_600_000;

function moved(event: RunEvent, byMs: number): RunEvent {
  if (!Number.isFinite(byMs)) throw new EngineError('edit-not-allowed', `event ${event.seq} cannot move by ${byMs} ms`);
  const appliedAtMs = Math.round((event.appliedAtMs + byMs) / STEP_MS) * STEP_MS;
  if (appliedAtMs > LONGEST_MS) {
    throw new EngineError(
      'edit-not-allowed',
      `event ${event.seq} cannot move by ${byMs / 1000} s: a run may last 24 h`,
    );
  }
  if (appliedAtMs < 0) {
    throw new EngineError(
      'edit-not-allowed',
      `event ${event.seq} at ${event.appliedAtMs / 1000} s cannot move ${-byMs / 1000} s earlier: that is before the start`,
    );
  }
  const occurredAtMs = Math.max(0, event.occurredAtMs + (appliedAtMs - event.appliedAtMs));
  return { ...event, appliedAtMs, occurredAtMs };
}

function redosed(event: RunEvent, amount: number): RunEvent {
  if (event.kind !== 'intervention') {
    throw new EngineError('edit-not-allowed', `event ${event.seq} is “${event.kind}”, which has no dose`);
  }
  if (!Number.isFinite(amount) || amount < 0) {
    throw new EngineError('edit-not-allowed', `a dose of ${amount} cannot be given`, 'Give a number of 0 or more.');
  }
  // The same strength: the volume goes with the amount. Without an amount to go by, the recorded volume no longer holds.
  const { volumeMl, ...rest } = event;
  if (volumeMl == null) return { ...event, amount };
  const known = event.amount !== null && event.amount > 0;
  return known ? { ...rest, amount, volumeMl: (volumeMl * amount) / event.amount! } : { ...rest, amount };
}

/** The system's end of the run, if it has one: both courses run as long. */
export function lengthOf(run: RunExport): number {
  const last = run.track.at(-1)?.atMs ?? 0;
  return effectiveEvents(run.events, run.scoredTake).reduce((most, event) => Math.max(most, event.appliedAtMs), last);
}

/**
 * Replays a run with and without the edits and compares what became of the patient. With no edits the two courses are
 * identical to the last bit. Throws EngineError for an edit that cannot be made.
 */
export function whatIf(run: RunExport, edits: readonly WhatIfEdit[], options: WhatIfOptions = {}): WhatIf {
  const take = run.scoredTake;
  const events = editLog(run.events, edits, take);
  const untilMs = lengthOf(exportOfTake(run));
  const profile = profileOf(run.definition);
  const { definition } = run;
  const how = {
    untilMs,
    pressureLimitMmHg: ageNorms(profile.ageYears).systolicLowMmHg,
    take,
    arrestBy: edits.length === 0 ? 'faculty' : arrestByOf(run),
  } as const;
  const base = courseOf(definition, run.events, how);
  const alternative = courseOf(definition, events, how);
  const wanted = options.uncertain ?? UNCERTAIN.map((constant) => constant.id);
  const constants = edits.length === 0 ? [] : UNCERTAIN.filter((constant) => wanted.includes(constant.id));
  const pairs: { base: Outcomes; alternative: Outcomes }[] = [];
  for (const constant of constants) {
    for (const multiplier of [constant.low, constant.high]) {
      const varied = withUncertain(definition, constant.id, multiplier);
      pairs.push({
        base: courseOf(varied, run.events, how).outcomes,
        alternative: courseOf(varied, events, how).outcomes,
      });
    }
  }
  return {
    engineVersion: ENGINE_VERSION,
    recordedWith: run.engineVersion,
    edits,
    base,
    alternative,
    events,
    differences: OUTCOMES.map((outcome) => difference(outcome, base.outcomes, alternative.outcomes, pairs)),
    oddActs: oddActs(effectiveEvents(events, take), alternative, base),
    identical: base.hash === alternative.hash && JSON.stringify(base.track) === JSON.stringify(alternative.track),
    uncertainConstants: constants.length,
  };
}

/**
 * Where faculty were never asked about an arrest, the course that might have been has nobody to ask: the model decides.
 * What they did decide stands in both courses.
 */
export function arrestByOf(run: RunExport): ArrestBy {
  const decided = effectiveEvents(run.events, run.scoredTake).some((event) => event.kind === 'arrest-decided');
  return decided ? 'faculty' : 'model';
}

export function withUncertain(definition: RunDefinition, id: string, multiplier: number): RunDefinition {
  const patient = definition.patient ?? {};
  return { ...definition, patient: { ...patient, uncertain: { ...patient.uncertain, [id]: multiplier } } };
}

export function difference(
  outcome: Pick<Difference, 'id' | 'says' | 'unit'>,
  base: Outcomes,
  alternative: Outcomes,
  pairs: readonly { base: Outcomes; alternative: Outcomes }[],
): Difference {
  const { id } = outcome;
  const minus = (b: number | null, a: number | null): number | null => (a === null || b === null ? null : a - b);
  const everything = [{ base, alternative }, ...pairs];
  return {
    ...outcome,
    base: base[id],
    alternative: alternative[id],
    change: minus(base[id], alternative[id]),
    changeRange:
      pairs.length === 0 ? null : range(everything.map((pair) => minus(pair.base[id], pair.alternative[id]))),
    baseRange: pairs.length === 0 ? null : range(everything.map((pair) => pair.base[id])),
    alternativeRange: pairs.length === 0 ? null : range(everything.map((pair) => pair.alternative[id])),
    happens: {
      base: everything.filter((pair) => pair.base[id] !== null).length,
      alternative: everything.filter((pair) => pair.alternative[id] !== null).length,
      of: everything.length,
    },
    ...(id === 'recoveryAtMs'
      ? { without: { ...withoutOf('base', base), ...withoutOf('alternative', alternative) } }
      : {}),
  };
}

const withoutOf = (
  course: 'base' | 'alternative',
  outcomes: Outcomes,
): { readonly [key in typeof course]?: Without } =>
  outcomes.recoveryAtMs === null
    ? { [course]: outcomes.everInDanger ? 'in-danger-at-the-end' : 'never-in-danger' }
    : {};

function range(values: readonly (number | null)[]): readonly [number, number] | null {
  const numbers = values.filter((value): value is number => value !== null);
  return numbers.length === 0 ? null : [Math.min(...numbers), Math.max(...numbers)];
}

const rowAt = (course: Course, atMs: number) =>
  course.track[Math.min(course.track.length - 1, Math.floor(atMs / 1000))];

/**
 * Acts that no longer fit: after the end, for a cue that never came, into the state the thread was already in, to a patient
 * now in cardiac arrest, or for an arrest of the run (`base`) that this course has not.
 */
export function oddActs(events: readonly RunEvent[], course: Course, base: Course): OddAct[] {
  const odd: OddAct[] = [];
  const add = (event: RunEvent, why: string): void => void odd.push({ seq: event.seq, atMs: event.appliedAtMs, why });
  const never = new Set(course.neverApplied);
  const endedAt = events.find((event) => event.kind === 'run-ended')?.appliedAtMs ?? Infinity;
  for (const event of events) {
    const at = event.appliedAtMs;
    const acts = event.kind === 'intervention' || event.kind === 'assessment' || event.kind === 'state-forced';
    if (never.has(event.seq) || (acts && at > endedAt)) {
      add(event, 'comes after the run had ended, so it does nothing');
      continue;
    }
    const row = rowAt(course, at);
    if (event.kind === 'cue-spoken') {
      const due = course.derived.some((fact) => fact.kind === 'cue-due' && fact.cue === event.cue && fact.atMs <= at);
      if (!due) add(event, `says cue “${event.cue}”, which was not due`);
    } else if (event.kind === 'state-forced' && row?.states[event.thread] === event.state) {
      add(event, `forces “${event.state}”, where the thread already was`);
    } else if (event.kind === 'intervention' && event.step === 'given' && row !== undefined) {
      const arrestSoFar = course.outcomes.arrestAtMs !== null && course.outcomes.arrestAtMs <= at;
      const wasArrested = (rowAt(base, at)?.true.arrested ?? 0) >= 0.5;
      if (arrestSoFar && row.true.arrested >= 0.5) {
        if (!wasArrested) add(event, 'is given to a patient now in cardiac arrest');
      } else if (wasArrested) add(event, 'was done in a cardiac arrest; here the patient has a pulse then');
    }
  }
  return odd;
}
