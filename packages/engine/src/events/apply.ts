/**
 * What each event does to a run. Inputs that make no sense never throw: what can be done is done, the rest is recorded as
 * a fault, and the run goes on. Withdrawals are not here: they need the log (see run/simulation.ts).
 */
import { applyInput, deviceDelivery, EFFECTS, readFindings } from '@breathline/patient';
import type { Finding, PatientInput, Route, VitalId } from '@breathline/patient';
import { convertAmount, type Intervention } from '@breathline/scenario';
import { attachDevice, removeDevice } from '../devices/devices.ts';
import { pressCuff, setCuffInterval } from '../devices/cuff.ts';
import { applyLive, goAgain } from '../live/apply.ts';
import { enterState, messageOf } from '../machine/machine.ts';
import type { RunCore } from '../run/core.ts';
import { C, CUE, F, I, PAUSE_REASONS, PHASE, T } from '../run/layout.ts';
import { takeSample } from '../results/results.ts';
import { overrideVital, releaseVital } from '../run/masks.ts';
import type { RunEvent } from '../types.ts';
import { VITALS, vitalText } from '../vitals.ts';
import { suggestFromPlan } from './doses.ts';

type Of<K extends RunEvent['kind']> = Extract<RunEvent, { kind: K }>;

/** Applies one event at the run clock's present time. */
export function applyEvent(core: RunCore, event: RunEvent): void {
  const { ints } = core;
  ints[I.take] = event.take;
  if (applyClockEvent(core, event)) return;
  // After the end people still write notes and reconcile, but nothing more reaches the patient.
  if (ints[I.phase] === PHASE.ended) return;
  switch (event.kind) {
    case 'intervention':
      return applyIntervention(core, event);
    case 'intervention-stopped':
      return stopIntervention(core, event);
    case 'assessment':
      core.assessed.push({ seq: event.seq, intervention: event.intervention, atMs: event.occurredAtMs });
      return reveal(core, event, core.plan.interventions.get(event.intervention));
    case 'device-attached':
      return attachDevice(core, event.device);
    case 'device-removed':
      return removeDevice(core, event.device);
    case 'cuff-pressed':
      return pressCuff(core);
    case 'cuff-interval':
      return setCuffInterval(core, event.everyMs);
    case 'cue-spoken':
      return speakCue(core, event);
    case 'state-forced':
      return forceState(core, event);
    case 'faculty-flag':
      return raiseFlag(core, event);
    case 'vital-overridden':
      return overrideVital(core, event.vital, event.to, event.overMs);
    case 'vital-released':
      return releaseVital(core, event.vital, event.overMs);
    default:
      if (applyLive(core, event)) core.refreshVitals();
  }
}

/** Start, pause, resume, end and the real-emergency stop. True when the event was one of these. */
function applyClockEvent(core: RunCore, event: RunEvent): boolean {
  const { ints } = core;
  const phase = ints[I.phase];
  switch (event.kind) {
    case 'run-started':
      if (phase === PHASE.ready) ints[I.phase] = PHASE.running;
      return true;
    case 'run-paused':
      if (phase === PHASE.running || phase === PHASE.paused) {
        ints[I.phase] = PHASE.paused;
        ints[I.pausedWhy] = PAUSE_REASONS.indexOf(event.why) + 1;
      }
      return true;
    case 'run-resumed':
      // A real emergency must be cleared first: a stray resume may not put vitals back on a screen.
      if (phase === PHASE.paused && ints[I.emergency] === 0) {
        ints[I.phase] = PHASE.running;
        ints[I.pausedWhy] = 0;
      }
      return true;
    case 'wound-back':
      goAgain(core);
      return true;
    case 'run-ended':
      if (phase !== PHASE.ended) ints[I.phase] = PHASE.ended;
      return true;
    case 'real-emergency-stop':
      ints[I.emergency] = 1;
      if (phase === PHASE.running || phase === PHASE.paused) {
        ints[I.phase] = PHASE.paused;
        ints[I.pausedWhy] = PAUSE_REASONS.indexOf('real-emergency') + 1;
      }
      return true;
    case 'real-emergency-cleared':
      ints[I.emergency] = 0;
      return true;
    default:
      return false;
  }
}

function send(core: RunCore, input: PatientInput, what: string): void {
  try {
    applyInput(core.plan.model, core.patient, input);
  } catch (error) {
    core.fault(`${what}: the patient model could not take it (${messageOf(error)}).`);
  }
}

function applyIntervention(core: RunCore, event: Of<'intervention'>): void {
  const item = core.plan.interventions.get(event.intervention);
  if (item === undefined) {
    core.fault(
      `“${event.intervention}” is not in this run's formulary; it is logged, and the patient does not answer.`,
    );
    return;
  }
  if (event.step !== 'given') return;
  const lagMs = Math.max(0, event.appliedAtMs - event.occurredAtMs);
  const given = amountGiven(core, event, item);
  // A device that did not fire, or fired into a thumb, is in the log but is no dose.
  if (reachedShare(event, item) <= 0) return;
  core.doses.push({
    seq: event.seq,
    intervention: item.id,
    atMs: event.occurredAtMs,
    amount: event.amount,
    share: doseShare(core, item, given) * reachedShare(event, item),
  });
  if (item.posture !== undefined) send(core, { kind: 'posture', posture: item.posture }, item.name);
  if (item.oxygen !== undefined) {
    const flowLPerMin = event.flowLPerMin ?? item.oxygen.flowLPerMin;
    send(
      core,
      {
        kind: 'oxygen',
        device: item.oxygen.device,
        ...(flowLPerMin === undefined ? {} : { flowLPerMin: Math.max(0, flowLPerMin) }),
        ...(item.oxygen.fio2Fraction === undefined ? {} : { fio2Fraction: item.oxygen.fio2Fraction }),
      },
      item.name,
    );
  }
  if (item.procedure !== undefined) {
    const amount = event.amount ?? item.procedure.amount;
    send(
      core,
      {
        kind: 'procedure',
        procedure: item.procedure.id,
        on: item.procedure.on,
        ...(amount === undefined ? {} : { amount }),
        ...(event.site === undefined ? {} : { site: event.site }),
      },
      item.name,
    );
  }
  if (item.effect !== undefined && given !== null && given > 0) sendDose(core, event, item, given, lagMs);
  if (item.device !== undefined) attachDevice(core, item.device);
  if (item.kind === 'assessment') {
    core.assessed.push({ seq: event.seq, intervention: item.id, atMs: event.occurredAtMs });
  }
  if (item.kind === 'test') takeSample(core, event, item.name);
  if (item.reveals !== undefined) reveal(core, event, item);
  core.refreshVitals();
}

/** Share of an injector's labelled dose that got into the patient; 1 for anything that is no injector. */
function reachedShare(event: Of<'intervention'>, item: Intervention): number {
  if (item.deviceDoses === undefined || event.deviceUse === undefined) return 1;
  const { muscleShare, skinShare } = deviceDelivery(event.deviceUse);
  return muscleShare + skinShare;
}

/**
 * The amount that was given, in the intervention's unit. An amount nobody knows is taken to be the pack's: the
 * commonest truth behind "given, did not see how much". A negative or unreadable amount reaches no one.
 */
function amountGiven(core: RunCore, event: Of<'intervention'>, item: Intervention): number | null {
  if (event.amount === null) return suggestFromPlan(core.plan, item.id)?.amount ?? null;
  if (!Number.isFinite(event.amount) || event.amount <= 0) return null;
  if (event.unit === undefined || item.unit === undefined) return event.amount;
  const converted = convertAmount(event.amount, event.unit, item.unit);
  if (converted === null) {
    core.fault(`${item.name}: ${event.unit} does not convert to ${item.unit}; the number was taken as ${item.unit}.`);
    return event.amount;
  }
  return converted;
}

function doseShare(core: RunCore, item: Intervention, given: number | null): number {
  const suggested = suggestFromPlan(core.plan, item.id);
  if (suggested === null || !(suggested.amount > 0)) return NaN;
  return (given ?? 0) / suggested.amount;
}

function sendDose(core: RunCore, event: Of<'intervention'>, item: Intervention, given: number, lagMs: number): void {
  const effect = (EFFECTS as Record<string, { unit: string; routes?: readonly Route[] }>)[item.effect!];
  const route = ((event.route as Route | undefined) ?? item.route ?? item.routes?.[0] ?? effect?.routes?.[0]) as Route;
  const amount = effect === undefined ? given : (convertAmount(given, item.unit ?? effect.unit, effect.unit) ?? given);
  if (item.ratePer !== undefined) {
    const ratePerMin = item.ratePer === 'h' ? amount / 60 : amount;
    send(core, { kind: 'infusion', effect: item.effect!, ratePerMin }, item.name);
    return;
  }
  const give = (by: Route, share: number): void =>
    send(
      core,
      {
        kind: 'dose',
        effect: item.effect!,
        route: by,
        amount: amount * share,
        lagMs,
        ...(event.site === undefined ? {} : { site: event.site }),
        ...(item.overMs === undefined ? {} : { overMs: item.overMs }),
      },
      item.name,
    );
  if (item.deviceDoses === undefined || event.deviceUse === undefined) return give(route, 1);
  const { muscleShare, skinShare } = deviceDelivery(event.deviceUse);
  if (muscleShare > 0) give(route, muscleShare);
  if (skinShare > 0) give('subcutaneous', skinShare);
}

function stopIntervention(core: RunCore, event: Of<'intervention-stopped'>): void {
  const item = core.plan.interventions.get(event.intervention);
  if (item === undefined) return;
  if (item.oxygen !== undefined) send(core, { kind: 'oxygen', device: 'none' }, item.name);
  if (item.procedure !== undefined) {
    send(core, { kind: 'procedure', procedure: item.procedure.id, on: !item.procedure.on }, item.name);
  }
  if (item.effect !== undefined) send(core, { kind: 'infusion', effect: item.effect, ratePerMin: 0 }, item.name);
  core.refreshVitals();
}

/** The findings now: the model's, with the present states' written ones in place of those of the same id. */
export function findingsNow(core: RunCore): Finding[] {
  const findings = [...readFindings(core.plan.model, core.patient)];
  for (const thread of core.plan.threads) {
    const state = thread.states[core.ints[core.plan.threadBase + thread.index * T.size + T.state]!]!;
    for (const written of state.state.findings) {
      const at = findings.findIndex((finding) => finding.id === written.id);
      const finding: Finding = { grade: at >= 0 ? findings[at]!.grade : 'moderate', ...written };
      if (at >= 0) findings[at] = finding;
      else findings.push(finding);
    }
  }
  return findings;
}

/** Reveals at most what the formulary item says it reveals. */
function reveal(core: RunCore, event: RunEvent, item: Intervention | undefined): void {
  const reveals = item?.reveals;
  if (reveals === undefined) return;
  const atMs = core.clockMs;
  if (reveals.letters !== undefined || reveals.findings !== undefined) {
    for (const finding of findingsNow(core)) {
      if (reveals.letters?.includes(finding.letter) || reveals.findings?.includes(finding.id)) {
        core.revealed.push({ seq: event.seq, atMs, finding });
      }
    }
  }
  for (const vital of reveals.vitals ?? []) {
    if (!(vital in VITALS)) continue;
    core.revealed.push({ seq: event.seq, atMs, finding: vitalFinding(core, vital) });
  }
}

function vitalFinding(core: RunCore, vital: VitalId): Finding {
  const { label, letter } = VITALS[vital];
  return {
    id: `vital-${vital}`,
    letter,
    text: `${label} ${vitalText(vital, core.vitals[vital])}`,
    observable: false,
    grade: 'none',
  };
}

function speakCue(core: RunCore, event: Of<'cue-spoken'>): void {
  const index = core.plan.cueIndex.get(event.cue);
  if (index === undefined) return;
  const at = core.plan.cueBase + index * C.size;
  if (core.ints[at + C.status] !== CUE.due) core.ints[at + C.dueAt] = core.clockMs;
  core.ints[at + C.status] = CUE.spoken;
  core.ints[at + C.spokenAt] = event.occurredAtMs;
}

function forceState(core: RunCore, event: Of<'state-forced'>): void {
  const thread = core.plan.threads.find((each) => each.thread.id === event.thread);
  const to = thread?.states.findIndex((state) => state.state.id === event.state) ?? -1;
  if (thread === undefined || to < 0) {
    core.fault(`There is no state “${event.state}” in thread “${event.thread}”; nothing was forced.`);
    return;
  }
  enterState(core, thread, to, 'forced by faculty', true);
  core.refreshVitals();
}

function raiseFlag(core: RunCore, event: Of<'faculty-flag'>): void {
  const flag = core.plan.flags.get(event.label);
  if (flag === undefined) return;
  core.ints[I.order]! += 1;
  core.ints[core.plan.flagBase + flag * F.size + F.order] = core.ints[I.order]!;
  core.ints[core.plan.flagBase + flag * F.size + F.atMs] = core.clockMs;
}
