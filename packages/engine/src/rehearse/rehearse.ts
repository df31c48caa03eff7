/**
 * A scenario's own tests: plays a rehearsal's acts on the engine at full speed and says which expectations hold.
 * Expectations about targets need scoring, which lies beyond the engine: they come back with `ok: null` for the caller.
 */
import type { Condition, Expectation, Rehearsal, RehearsalAct } from '@breathline/scenario';
import { EngineError } from '../errors.ts';
import { suggestForRun } from '../events/doses.ts';
import { createRun, type Simulation } from '../run/simulation.ts';
import {
  STEP_MS,
  type Actor,
  type Derived,
  type EventBody,
  type RunDefinition,
  type RunEvent,
  type TrackRow,
} from '../types.ts';

export interface RehearsalCheck {
  readonly expectation: Expectation;
  /** What was expected, in plain words. */
  readonly says: string;
  /** What happened instead, or how it was met. */
  readonly found: string;
  /** null: needs scoring. */
  readonly ok: boolean | null;
  /** Of a vital: what it was then, in the vital's own unit; null = the rehearsal ends before. Absent of other checks. */
  readonly value?: number | null;
}

export interface RehearsalResult {
  readonly name: string;
  /** True when no check failed (checks that need scoring are the caller's). */
  readonly ok: boolean;
  readonly checks: readonly RehearsalCheck[];
  /** Acts left out because of their `unless` or `only-if`. */
  readonly skipped: readonly { readonly atMs: number; readonly says: string; readonly why: string }[];
  readonly events: readonly RunEvent[];
  readonly derived: readonly Derived[];
  readonly track: readonly TrackRow[];
  /** Transitions taken, in order: which rule of which state, by its place in the state's list. */
  readonly rules: readonly { readonly thread: string; readonly state: string; readonly index: number }[];
  readonly faults: readonly string[];
  readonly endedAtMs: number;
  readonly hash: string;
}

/** A vital at the time it was looked at. */
interface VitalFound {
  readonly held: boolean;
  readonly value: number | null;
}

/** Who acts in a rehearsal; by it a rehearsal is told from what people played. */
export const REHEARSAL_ROLE = 'rehearsal';
const BY: Actor = { role: REHEARSAL_ROLE };
/** Rehearsals happen at no time of day. */
export const NO_WALL_TIME = '1970-01-01T00:00:00.000Z';

/** Whether a log is a scenario's own rehearsal, which no team played and which has no date. */
export function isRehearsal(events: readonly RunEvent[]): boolean {
  return events.find(({ kind }) => kind === 'run-started')?.by.role === REHEARSAL_ROLE;
}

/**
 * Runs one rehearsal of the definition's scenario. An arrest counts as allowed by faculty. Throws EngineError only when
 * the definition cannot be run.
 */
export function rehearse(definition: RunDefinition, rehearsal: Rehearsal): RehearsalResult {
  const watch: Condition[] = [];
  const watching = (condition: Condition | undefined): number =>
    condition === undefined ? -1 : watch.push(condition) - 1;
  const acts = rehearsal.acts
    .map((act, order) => ({ act, order, unless: watching(act.unless), onlyIf: watching(act.onlyIf) }))
    .sort((a, b) => a.act.atMs - b.act.atMs || a.order - b.order);
  const vitalChecks = rehearsal.expect
    .filter((each): each is Extract<Expectation, { kind: 'vital' }> => each.kind === 'vital')
    .map((expectation) => ({ expectation, index: watching(expectation.condition) }))
    .sort((a, b) => a.expectation.atMs - b.expectation.atMs);
  const vitalHeld = new Map<Expectation, VitalFound>();
  const rules: { thread: string; state: string; index: number }[] = [];
  const run = createRun(definition, { watch, onRule: (thread, state, at) => rules.push({ thread, state, index: at }) });
  const events: RunEvent[] = [];
  const put = (body: EventBody): void => {
    const event = {
      seq: events.length + 1,
      take: 1,
      appliedAtMs: run.clockMs,
      occurredAtMs: run.clockMs,
      wallTime: NO_WALL_TIME,
      by: BY,
      ...body,
    } as RunEvent;
    events.push(event);
    run.apply(event);
  };
  const to = (ms: number): void => {
    const target = Math.round(ms / STEP_MS) * STEP_MS;
    while (vitalChecks.length > 0 && vitalChecks[0]!.expectation.atMs <= target) {
      const { expectation, index } = vitalChecks.shift()!;
      run.advanceTo(Math.round(expectation.atMs / STEP_MS) * STEP_MS);
      const { condition } = expectation;
      vitalHeld.set(expectation, {
        held: run.watchedHolds(index),
        value: condition.kind === 'vital' ? run.view().trueVitals[condition.vital] : null,
      });
    }
    run.advanceTo(target);
  };

  const skipped: { atMs: number; says: string; why: string }[] = [];
  put({ kind: 'run-started' });
  // Nobody is there to ask: an arrest that the model brings about comes.
  put({ kind: 'arrest-decided', allow: true });
  for (const { act, unless, onlyIf } of acts) {
    if (act.atMs > rehearsal.forMs) {
      skipped.push({ atMs: act.atMs, says: actWords(definition, act), why: 'after the end of the rehearsal' });
      continue;
    }
    to(act.atMs);
    if (unless >= 0 && run.watchedHolds(unless)) {
      skipped.push({ atMs: act.atMs, says: actWords(definition, act), why: 'its “unless” held' });
    } else if (onlyIf >= 0 && !run.watchedHolds(onlyIf)) {
      skipped.push({ atMs: act.atMs, says: actWords(definition, act), why: 'its “only-if” did not hold' });
    } else put(actBody(definition, act));
  }
  to(rehearsal.forMs);
  put({ kind: 'run-ended', why: 'end of rehearsal' });

  const checks = rehearsal.expect.map((expectation) => check(run, expectation, vitalHeld));
  return {
    name: rehearsal.name,
    ok: checks.every((each) => each.ok !== false),
    checks,
    skipped,
    events,
    derived: run.derived,
    track: run.track,
    rules,
    faults: run.view().faults,
    endedAtMs: run.clockMs,
    hash: run.hash(),
  };
}

/** Finds a rehearsal by name. Throws EngineError naming those there are. */
export function findRehearsal(definition: RunDefinition, name: string): Rehearsal {
  const { rehearsals } = definition.scenario;
  const found = rehearsals.find((each) => each.name === name);
  if (found === undefined) {
    throw new EngineError(
      'rehearsal-unknown',
      `there is no rehearsal called “${name}”`,
      rehearsals.length === 0
        ? 'This scenario has no rehearsals.'
        : `There are: ${rehearsals.map((each) => each.name).join(', ')}.`,
    );
  }
  return found;
}

function actBody(definition: RunDefinition, act: RehearsalAct): EventBody {
  const { action } = act;
  switch (action.kind) {
    case 'assess':
      return { kind: 'assessment', intervention: action.intervention };
    case 'attach':
      return { kind: 'device-attached', device: action.device };
    case 'force':
      return { kind: 'state-forced', thread: action.thread, state: action.state };
    case 'faculty':
      return { kind: 'faculty-flag', label: action.label };
    case 'give': {
      const item = definition.library.interventions.find((each) => each.id === action.intervention);
      const suggested = suggestForRun(definition, action.intervention);
      const asPack = action.amount === 'as-pack';
      const amount = action.amount === 'as-pack' ? (suggested?.amount ?? null) : action.amount;
      if (item?.kind === 'assessment') return { kind: 'assessment', intervention: action.intervention };
      return {
        kind: 'intervention',
        intervention: action.intervention,
        step: 'given',
        amount,
        doseSeen: amount !== null,
        ...(item?.unit === undefined ? {} : { unit: item.unit }),
        ...(asPack && suggested?.concentration ? { concentration: suggested.concentration.label } : {}),
        ...(asPack && suggested?.volumeMl != null ? { volumeMl: suggested.volumeMl } : {}),
        ...((action.route ?? item?.route) === undefined ? {} : { route: action.route ?? item?.route }),
        ...((action.site ?? item?.sites?.[0]) === undefined ? {} : { site: action.site ?? item?.sites?.[0] }),
        ...(action.deviceUse === undefined ? {} : { deviceUse: action.deviceUse }),
        ...(action.flowLPerMin === undefined ? {} : { flowLPerMin: action.flowLPerMin }),
      };
    }
  }
}

function actWords(definition: RunDefinition, act: RehearsalAct): string {
  const { action } = act;
  if (action.kind === 'attach') return `attach ${action.device}`;
  if (action.kind === 'force') return `force ${action.state}`;
  if (action.kind === 'faculty') return `press ${action.label}`;
  const item = definition.library.interventions.find((each) => each.id === action.intervention);
  return item?.name ?? action.intervention;
}

/** "9:05" from ms. */
export function clockText(ms: number): string {
  const seconds = Math.floor(Math.abs(ms) / 1000);
  return `${ms < 0 ? '-' : ''}${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}

function check(
  run: Simulation,
  expectation: Expectation,
  vitalHeld: ReadonlyMap<Expectation, VitalFound>,
): RehearsalCheck {
  switch (expectation.kind) {
    case 'target':
      return {
        expectation,
        says: `target ${expectation.target} is ${expectation.result}`,
        found: 'needs scoring',
        ok: null,
      };
    case 'vital': {
      const found = vitalHeld.get(expectation);
      return {
        expectation,
        says: `at ${clockText(expectation.atMs)} the condition on vitals holds`,
        found: found === undefined ? 'the rehearsal ends before that' : found.held ? 'it held' : 'it did not hold',
        ok: found?.held ?? false,
        value: found?.value ?? null,
      };
    }
    case 'state':
      return checkState(run, expectation);
  }
}

function checkState(run: Simulation, expectation: Extract<Expectation, { kind: 'state' }>): RehearsalCheck {
  const { thread, state, byMs, notBeforeMs, never } = expectation;
  const entries = run.derived.flatMap((fact) =>
    fact.kind === 'state-entered' && fact.thread === thread && fact.state === state ? [fact.atMs] : [],
  );
  const first = entries[0];
  const found = first === undefined ? `${state} was never reached` : `${state} was reached at ${clockText(first)}`;
  if (never === true) {
    return { expectation, says: `${state} is never reached`, found, ok: first === undefined };
  }
  const by = byMs === undefined ? '' : ` by ${clockText(byMs)}`;
  const notBefore = notBeforeMs === undefined ? '' : ` not before ${clockText(notBeforeMs)}`;
  const ok =
    first !== undefined && (byMs === undefined || first <= byMs) && (notBeforeMs === undefined || first >= notBeforeMs);
  return { expectation, says: `${state} is reached${by}${notBefore}`, found, ok };
}
