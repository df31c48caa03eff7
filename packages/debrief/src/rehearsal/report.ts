/**
 * Proves a scenario by its own rehearsals: plays them, says which hold, and what none of them ever comes to. The command
 * line and the page both say what stands here.
 */
import {
  buildExport,
  CAUTION,
  NO_WALL_TIME,
  rehearse,
  VITALS,
  type RehearsalResult,
  type RunDefinition,
  type RunExport,
  type TrackRow,
} from '@breathline/engine';
import type { VitalId } from '@breathline/patient';
import { FilePlaces, type Rehearsal } from '@breathline/scenario';
import { decimate } from '../decimate.ts';
import { conditionText } from '../review/condition-words.ts';
import { interventionName } from '../words.ts';
import { settle } from './checks.ts';
import type { CoveredRule, CoveredState, RehearsalReport, RehearsedOne, VitalCourse } from './types.ts';

/** One rehearsal as it was played, and what it tells. */
export interface PlayedRehearsal {
  readonly result: RehearsalResult;
  /** The rehearsal as a run of its own. */
  readonly exported: RunExport;
  readonly tells: RehearsedOne;
}

/** The vitals drawn of each rehearsal. */
const DRAWN: readonly VitalId[] = ['heartRatePerMin', 'spo2Percent', 'systolicMmHg', 'respiratoryRatePerMin'];
const COLUMNS = 80;

/** A scenario about to be rehearsed, with the file it came from. */
export class RehearsalRoom {
  readonly #places: FilePlaces;

  constructor(
    readonly definition: RunDefinition,
    readonly source: { readonly file: string; readonly text: string },
  ) {
    this.#places = new FilePlaces(source.text, source.file);
  }

  /** Plays one rehearsal of the scenario at full speed. */
  play(rehearsal: Rehearsal): PlayedRehearsal {
    const { definition, source } = this;
    const result = rehearse(definition, rehearsal);
    const exported = buildExport({
      // The same scenario, seed and acts give the same name: a rehearsal can be made again at any time.
      runId: `rehearsal-${result.hash}`,
      createdAt: NO_WALL_TIME,
      definition,
      scenarioText: source.text,
      events: result.events,
      derived: result.derived,
      track: result.track,
    });
    const at = definition.scenario.rehearsals.indexOf(rehearsal);
    const checks = result.checks.map((check, index) => ({
      place: this.#places.at(['rehearsals', at, 'expect', index]),
      ...settle(check, { definition, exported }),
    }));
    return {
      result,
      exported,
      tells: {
        name: result.name,
        place: this.#places.at(['rehearsals', at]),
        ok: checks.every(({ ok }) => ok) && result.faults.length === 0,
        endedAtMs: result.endedAtMs,
        checks,
        skipped: result.skipped,
        faults: result.faults,
        states: result.derived.flatMap((fact) =>
          fact.kind === 'state-entered'
            ? [
                {
                  atMs: fact.atMs,
                  thread: fact.thread,
                  state: fact.state,
                  title: this.#titleOf(fact.thread, fact.state),
                  because: fact.because,
                },
              ]
            : [],
        ),
        courses: DRAWN.map((vital) => courseOf(result.track, vital)),
        hash: result.hash,
      },
    };
  }

  /** What the rehearsals played so far tell of the whole scenario. */
  report(played: readonly PlayedRehearsal[]): RehearsalReport {
    const { definition, source } = this;
    const { scenario, packId, library } = definition;
    return {
      caution: CAUTION,
      file: source.file,
      scenario: scenario.id,
      title: scenario.title,
      packId,
      packTitle: library.packs.find(({ id }) => id === packId)?.title ?? packId,
      ok: played.every(({ tells }) => tells.ok),
      rehearsals: played.map(({ tells }) => tells),
      states: this.#states(played),
      rules: this.#rules(played),
    };
  }

  #titleOf(thread: string, state: string): string {
    const found = this.definition.scenario.threads.find(({ id }) => id === thread);
    return found?.states.find(({ id }) => id === state)?.title ?? state;
  }

  #states(played: readonly PlayedRehearsal[]): CoveredState[] {
    return this.definition.scenario.threads.flatMap(({ id: thread, states }) =>
      states.map((state) => ({
        place: this.#places.state(thread, state.id),
        thread,
        state: state.id,
        title: state.title,
        reachedIn: played
          .filter(({ tells }) => tells.states.some((one) => one.thread === thread && one.state === state.id))
          .map(({ tells }) => tells.name),
        ...(state.ending ? { ending: state.ending.outcome } : {}),
      })),
    );
  }

  #rules(played: readonly PlayedRehearsal[]): CoveredRule[] {
    const nameOf = (id: string): string => interventionName(this.definition.library, id);
    return this.definition.scenario.threads.flatMap(({ id: thread, states }) =>
      states.flatMap((state) =>
        state.transitions.map((rule, index) => ({
          place: this.#places.state(thread, state.id, ['transitions', index]),
          thread,
          from: state.id,
          to: rule.to,
          when: conditionText(rule.when, nameOf),
          takenIn: played
            .filter(({ result }) =>
              result.rules.some((one) => one.thread === thread && one.state === state.id && one.index === index),
            )
            .map(({ tells }) => tells.name),
        })),
      ),
    );
  }
}

function courseOf(track: readonly TrackRow[], vital: VitalId): VitalCourse {
  const points = track.map((row) => ({ atMs: row.atMs, value: row.true[vital] }));
  const { label, unit, digits } = VITALS[vital];
  return {
    vital,
    label,
    unit,
    points: decimate(points, 0, track.at(-1)?.atMs ?? 0, COLUMNS).flatMap(({ atMs, value }) =>
      value === null ? [] : [[atMs, Number(value.toFixed(digits + 1))] as const],
    ),
  };
}
