/**
 * A run definition made ready to step: names resolved to indices, age limits to numbers, conditions to nodes. Computed
 * once per definition; holds no run state.
 */
import { ageNorms, buildPatient, createState, exp } from '@breathline/patient';
import type { AgeNorms, PatientModel, PatientProfile, PatientState, VitalId } from '@breathline/patient';
import type { Condition, Cue, GuidelinePack, Intervention, State, Thread } from '@breathline/scenario';
import { EngineError } from '../errors.ts';
import { compileCondition, type CompileContext, type ConditionNode } from '../machine/conditions.ts';
import { STEP_MS, type RunDefinition } from '../types.ts';
import { VITAL_INDEX } from '../vitals.ts';
import { C, F, I, N, T } from './layout.ts';
import { runIn } from './run-in.ts';

export interface PlanTransition {
  /** Index of the state in its thread; -1 when the name is unknown (a fault when it fires). */
  readonly to: number;
  readonly toId: string;
  readonly when: ConditionNode;
  readonly says: string | null;
}

export interface PlanCue {
  /** Index over the whole scenario. */
  readonly index: number;
  readonly thread: number;
  readonly state: number;
  readonly cue: Cue;
  readonly onlyIf: ConditionNode | null;
}

export interface PlanScripted {
  readonly vital: number;
  readonly to: number;
  /** Share of the remaining distance covered in one step. */
  readonly share: number;
}

export interface PlanState {
  readonly index: number;
  readonly state: State;
  readonly transitions: readonly PlanTransition[];
  readonly cues: readonly PlanCue[];
  readonly scripted: readonly PlanScripted[];
  /** Accumulator slots belonging to this state's conditions: from (inclusive) to (exclusive). */
  readonly accumulatorsFrom: number;
  readonly accumulatorsTo: number;
}

export interface PlanThread {
  readonly index: number;
  readonly thread: Thread;
  readonly states: readonly PlanState[];
  readonly start: number;
}

export interface Plan {
  readonly definition: RunDefinition;
  readonly profile: PatientProfile;
  readonly model: PatientModel;
  /** The patient at time 0, ill for as long as the scenario says; copied into each run. */
  readonly settled: PatientState;
  readonly norms: AgeNorms;
  readonly pack: GuidelinePack | null;
  readonly interventions: ReadonlyMap<string, Intervention>;
  readonly threads: readonly PlanThread[];
  readonly cues: readonly PlanCue[];
  readonly cueIndex: ReadonlyMap<string, number>;
  readonly flags: ReadonlyMap<string, number>;
  readonly threadBase: number;
  readonly cueBase: number;
  readonly flagBase: number;
  readonly accumulatorBase: number;
  readonly accumulators: number;
  readonly intsLength: number;
  readonly numsLength: number;
  /** Extra conditions to watch, in the order given (rehearsals, expectations). */
  readonly watched: readonly ConditionNode[];
  /** The model may arrest without a question: once faculty said so, or said so in the prebrief too. */
  readonly arrest: 'ask' | 'as-agreed';
  /** Parts of the scenario that cannot work, in words. */
  readonly faults: readonly string[];
}

const cache = new WeakMap<RunDefinition, Plan>();

/** A script covers 95 % of the way in `overMs`: a first-order approach with a time constant of a third of it. */
function scriptShare(overMs: number): number {
  return overMs <= 0 ? 1 : 1 - exp((-3 * STEP_MS) / overMs);
}

/** The patient of a run: the scenario's, with what was changed for this run. */
export function profileOf(definition: RunDefinition): PatientProfile {
  const changes = definition.patient ?? {};
  return {
    ...definition.scenario.patient,
    ...changes,
    uncertain: { ...definition.scenario.patient.uncertain, ...changes.uncertain },
  };
}

/** Builds (or finds) the plan of a definition. `watch` adds conditions of the caller's own. Throws EngineError only when
 * there is no thread to run. */
export function planOf(definition: RunDefinition, watch: readonly Condition[] = []): Plan {
  const cached = watch.length === 0 ? cache.get(definition) : undefined;
  if (cached !== undefined) return cached;
  const plan = buildOrSay(definition, watch);
  if (watch.length === 0) cache.set(definition, plan);
  return plan;
}

/** Settling runs many minutes of model time, and many runs are of the same patient. */
const settledStates = new Map<string, PatientState>();
const MOST_SETTLED = 64;

function settle(model: PatientModel): PatientState {
  const key = JSON.stringify(model.p);
  const known = settledStates.get(key);
  if (known !== undefined) return known;
  const state = createState(model);
  if (settledStates.size >= MOST_SETTLED) settledStates.delete(settledStates.keys().next().value!);
  settledStates.set(key, state);
  return state;
}

/** A definition from an old or foreign file may lack anything: that too must end in words. */
function buildOrSay(definition: RunDefinition, watch: readonly Condition[]): Plan {
  try {
    return buildPlan(definition, watch);
  } catch (error) {
    if (error instanceof EngineError) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw new EngineError(
      'definition-unusable',
      `the scenario or library of this run is not as expected (${why})`,
      'Check the scenario, or export the run again from where it was made.',
    );
  }
}

function sizePatient(profile: PatientProfile): {
  readonly norms: AgeNorms;
  readonly model: PatientModel;
  readonly settled: PatientState;
} {
  try {
    const model = buildPatient(profile);
    return { norms: ageNorms(profile.ageYears), model, settled: settle(model) };
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new EngineError('definition-unusable', `the patient of this run cannot be built: ${why}`);
  }
}

function buildPlan(definition: RunDefinition, watch: readonly Condition[]): Plan {
  const { scenario, library } = definition;
  if (scenario.threads.length === 0 || scenario.threads.some((thread) => thread.states.length === 0)) {
    throw new EngineError(
      'definition-unusable',
      `scenario “${scenario.id}” has no states to run`,
      'A scenario needs at least one thread with at least one state.',
    );
  }
  const profile = profileOf(definition);
  const { norms, model, settled: well } = sizePatient(profile);
  const settled = runIn(scenario, model, well);
  const interventions = new Map(library.interventions.map((item) => [item.id, item]));
  const flags = new Map<string, number>();
  const faults: string[] = [];
  let accumulators = 0;

  const contextFor = (ownerThread: number, where: string): CompileContext => ({
    norms,
    ownerThread,
    nextAccumulator: () => accumulators++,
    threadIndex: (id) => scenario.threads.findIndex((thread) => thread.id === id),
    stateIndex: (thread, id) => scenario.threads[thread]!.states.findIndex((state) => state.id === id),
    stateTitle: (thread, index) => scenario.threads[thread]!.states[index]!.title,
    flagIndex: (label) => {
      const known = flags.get(label);
      if (known !== undefined) return known;
      flags.set(label, flags.size);
      return flags.size - 1;
    },
    interventionName: (id) => interventions.get(id)?.name ?? id,
    fault: (message) => faults.push(`${where}: ${message}`),
  });

  const cues: PlanCue[] = [];
  const threads = scenario.threads.map((thread, threadIndex): PlanThread => {
    const states = thread.states.map((state, stateIndex): PlanState => {
      const from = accumulators;
      const context = contextFor(threadIndex, `thread “${thread.id}”, state “${state.id}”`);
      const transitions = state.transitions.map((transition): PlanTransition => {
        const to = thread.states.findIndex((other) => other.id === transition.to);
        return {
          to,
          toId: transition.to,
          when: compileCondition(transition.when, context),
          says: transition.says ?? null,
        };
      });
      const own = state.cues.map((cue): PlanCue => {
        const compiled: PlanCue = {
          index: cues.length,
          thread: threadIndex,
          state: stateIndex,
          cue,
          onlyIf: cue.onlyIf === undefined ? null : compileCondition(cue.onlyIf, context),
        };
        cues.push(compiled);
        return compiled;
      });
      const scripted = state.scripted.flatMap((script): PlanScripted[] => {
        const vital = VITAL_INDEX.get(script.vital as VitalId);
        if (vital === undefined || !Number.isFinite(script.to)) {
          context.fault(`cannot script “${script.vital}”`);
          return [];
        }
        return [{ vital, to: script.to, share: scriptShare(script.overMs) }];
      });
      return {
        index: stateIndex,
        state,
        transitions,
        cues: own,
        scripted,
        accumulatorsFrom: from,
        accumulatorsTo: accumulators,
      };
    });
    const start = thread.states.findIndex((state) => state.id === thread.start);
    if (start < 0) faults.push(`thread “${thread.id}”: there is no start state “${thread.start}”; the first is used`);
    return { index: threadIndex, thread, states, start: Math.max(0, start) };
  });
  const watched = watch.map((condition, index) =>
    compileCondition(condition, contextFor(-1, `watched condition ${index + 1}`)),
  );

  const threadBase = I.end;
  const cueBase = threadBase + threads.length * T.size;
  const flagBase = cueBase + cues.length * C.size;
  const accumulatorBase = flagBase + flags.size * F.size;
  return {
    definition,
    profile,
    model,
    settled,
    norms,
    pack: library.packs.find((pack) => pack.id === definition.packId) ?? null,
    interventions,
    threads,
    cues,
    cueIndex: new Map(cues.map((cue) => [cue.cue.id, cue.index])),
    flags,
    threadBase,
    cueBase,
    flagBase,
    accumulatorBase,
    accumulators,
    intsLength: accumulatorBase + accumulators,
    numsLength: N.end,
    watched,
    arrest: scenario.arrest === 'as-model' ? 'as-agreed' : 'ask',
    faults,
  };
}
