/**
 * The state machines of a run. Per step and thread: guards read the values of the step's start, the first transition in
 * document order whose guard holds is taken, and at most one. Choices are made for every thread before any is acted on,
 * so threads never see each other half-way. Effects happen in the order exit, transition, entry (as in W3C SCXML 1.0,
 * Appendix D): on exit due cues lapse and scripts are released; on entry scripts start, drives are asked for, held
 * durations start to count and cue timers start.
 */
import { applyInput } from '@breathline/patient';
import { releaseScripts, startScript } from '../run/masks.ts';
import type { RunCore } from '../run/core.ts';
import { C, CUE, I, T } from '../run/layout.ts';
import type { PlanState, PlanThread } from '../run/plan.ts';

/** So many transitions in a row, each within a second of the last, and the thread is held: it is going in circles. */
export const LIVELOCK_TRANSITIONS = 20;
const LIVELOCK_DWELL_MS = 1000;

const chosen: number[] = [];

/** One machine step at the run clock's present time. */
export function stepMachine(core: RunCore): void {
  const { plan, ints } = core;
  const clock = ints[I.clockMs]!;
  for (let k = 0; k < plan.threads.length; k++) {
    core.startStates[k] = ints[plan.threadBase + k * T.size + T.state]!;
  }
  for (let k = 0; k < plan.threads.length; k++) {
    const base = plan.threadBase + k * T.size;
    chosen[k] = -1;
    // A thread stays at least one step in each state, so a state forced or entered now is not left now.
    if (ints[base + T.enteredAt] === clock || ints[base + T.halted] !== 0) continue;
    const { transitions } = plan.threads[k]!.states[ints[base + T.state]!]!;
    for (let i = 0; i < transitions.length; i++) {
      // Every guard is evaluated, so that the held durations of later ones keep counting.
      if (transitions[i]!.when.evaluate(core) && chosen[k]! < 0) chosen[k] = i;
    }
  }
  for (let k = 0; k < plan.threads.length; k++) {
    if (chosen[k]! >= 0) takeTransition(core, plan.threads[k]!, chosen[k]!);
  }
  if (plan.cues.length > 0) stepCues(core, clock);
}

function takeTransition(core: RunCore, thread: PlanThread, index: number): void {
  const base = core.plan.threadBase + thread.index * T.size;
  const from = thread.states[core.ints[base + T.state]!]!;
  const transition = from.transitions[index]!;
  if (transition.to < 0) {
    core.fault(`Thread “${thread.thread.id}”: a transition leads to “${transition.toId}”, which does not exist.`);
    return;
  }
  const because = transition.says ?? transition.when.words(core);
  const dwell = core.clockMs - core.ints[base + T.enteredAt]!;
  core.ints[base + T.quick] = dwell <= LIVELOCK_DWELL_MS ? core.ints[base + T.quick]! + 1 : 0;
  if (core.sink !== null) core.onRule?.(thread.thread.id, from.state.id, index);
  enterState(core, thread, transition.to, because, false);
  if (core.ints[base + T.quick]! >= LIVELOCK_TRANSITIONS) {
    core.ints[base + T.halted] = 1;
    core.fault(
      `Thread “${thread.thread.id}” went round in circles and is held in “${thread.states[transition.to]!.state.title}”; force a state to free it.`,
    );
  }
}

/** Leaves the present state and enters another, at the present clock. */
export function enterState(core: RunCore, thread: PlanThread, to: number, because: string, forced: boolean): void {
  const base = core.plan.threadBase + thread.index * T.size;
  const from = thread.states[core.ints[base + T.state]!]!;
  exitState(core, thread, from);
  const state = thread.states[to]!;
  core.sink?.({
    kind: 'state-entered',
    atMs: core.clockMs,
    thread: thread.thread.id,
    state: state.state.id,
    from: from.state.id,
    because,
    forced,
  });
  if (forced) {
    core.ints[base + T.halted] = 0;
    core.ints[base + T.quick] = 0;
  }
  beginState(core, thread, state);
}

function exitState(core: RunCore, thread: PlanThread, from: PlanState): void {
  for (const { index, cue } of from.cues) {
    const at = core.plan.cueBase + index * C.size;
    if (core.ints[at + C.status] === CUE.due) core.sink?.({ kind: 'cue-lapsed', atMs: core.clockMs, cue: cue.id });
    core.ints[at + C.status] = CUE.waiting;
  }
  releaseScripts(core, thread.index);
}

function beginState(core: RunCore, thread: PlanThread, state: PlanState): void {
  const { ints, plan } = core;
  const base = plan.threadBase + thread.index * T.size;
  ints[I.order]! += 1;
  ints[base + T.state] = state.index;
  ints[base + T.enteredAt] = core.clockMs;
  ints[base + T.enteredOrder] = ints[I.order]!;
  for (const script of state.scripted) startScript(core, script.vital, script.to, script.share, thread.index);
  for (const drive of state.state.drives) {
    try {
      applyInput(plan.model, core.patient, drive);
    } catch (error) {
      core.fault(`State “${state.state.id}”: drive “${drive.drive}” could not be applied (${messageOf(error)}).`);
    }
  }
  ints.fill(-1, plan.accumulatorBase + state.accumulatorsFrom, plan.accumulatorBase + state.accumulatorsTo);
  for (const transition of state.transitions) transition.when.evaluate(core);
  for (const { index, onlyIf } of state.cues) {
    const at = plan.cueBase + index * C.size;
    ints[at + C.status] = CUE.waiting;
    ints[at + C.dueAt] = -1;
    ints[at + C.spokenAt] = -1;
    onlyIf?.evaluate(core);
  }
}

/** Cues of the present states fall due once their time has come and their condition holds. */
function stepCues(core: RunCore, clock: number): void {
  const { plan, ints } = core;
  for (let k = 0; k < plan.threads.length; k++) {
    const base = plan.threadBase + k * T.size;
    const { cues } = plan.threads[k]!.states[ints[base + T.state]!]!;
    for (let i = 0; i < cues.length; i++) {
      const cue = cues[i]!;
      const at = plan.cueBase + cue.index * C.size;
      if (ints[at + C.status] !== CUE.waiting) continue;
      const holds = cue.onlyIf === null || cue.onlyIf.evaluate(core);
      if (!holds || clock - ints[base + T.enteredAt]! < cue.cue.afterMs) continue;
      ints[at + C.status] = CUE.due;
      ints[at + C.dueAt] = clock;
      core.sink?.({
        kind: 'cue-due',
        atMs: clock,
        cue: cue.cue.id,
        thread: plan.threads[k]!.thread.id,
        state: plan.threads[k]!.states[cue.state]!.state.id,
      });
    }
  }
}

/** Enters every thread's start state at time 0. */
export function enterStartStates(core: RunCore): void {
  for (const thread of core.plan.threads) {
    core.sink?.({
      kind: 'state-entered',
      atMs: 0,
      thread: thread.thread.id,
      state: thread.states[thread.start]!.state.id,
      from: null,
      because: 'the scenario starts here',
      forced: false,
    });
    core.startStates[thread.index] = thread.start;
  }
  for (const thread of core.plan.threads) beginState(core, thread, thread.states[thread.start]!);
}

/** The words of anything thrown. */
export function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
