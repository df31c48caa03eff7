/** Views of a run, made on demand: what faculty see, what devices show, what the traces need, and the 1 Hz track. */
import { RHYTHMS, SIGNS, scoresOf } from '@breathline/patient';
import type { PatientScores, ScoreContext, SignId, TrueVitals } from '@breathline/patient';
import type { DeviceId } from '@breathline/scenario';
import { shownCapnographyRate, shownEtco2 } from '../devices/capnography.ts';
import { isAttached, isFaulty, isWorking } from '../devices/common.ts';
import { cuffFailure, cuffInflating } from '../devices/cuff.ts';
import { shownHeartRate, shownImpedanceRate } from '../devices/ecg.ts';
import { shaking } from '../devices/movement.ts';
import { oximeterMessage, shownPulse, shownSpo2 } from '../devices/oximeter.ts';
import { findingsNow } from '../events/apply.ts';
import { gasText } from '../results/results.ts';
import type { RunView, ShownVitals, TrackRow, WaveformDrive } from '../types.ts';
import { VITAL_IDS } from '../vitals.ts';
import type { RunCore } from './core.ts';
import { C, CUE, DEVICE, DEVICES, I, N, PAUSE_REASONS, PHASES, T } from './layout.ts';
import { readSignIndex } from './patient-port.ts';

const rounded = (value: number): number => Math.round(value * 1000) / 1000;

function shownPressure(core: RunCore): ShownVitals['bloodPressure'] {
  const { ints, nums } = core;
  if (ints[I.cuffHasReading] === 0) return null;
  const takenAtMs = ints[I.cuffTakenAt]!;
  const failed = cuffFailure(core);
  if (failed !== null) return { systolicMmHg: null, diastolicMmHg: null, meanMmHg: null, takenAtMs, failed };
  return {
    systolicMmHg: nums[N.cuffSystolic]!,
    diastolicMmHg: nums[N.cuffDiastolic]!,
    meanMmHg: nums[N.cuffMean]!,
    takenAtMs,
  };
}

/** What the attached devices show now. Nothing is shown for a device that is not attached. */
export function buildShown(core: RunCore): ShownVitals {
  const { ints, nums } = core;
  const oximeter = isWorking(core, DEVICE.oximeter);
  const ecg = isWorking(core, DEVICE.ecg);
  const capnography = isWorking(core, DEVICE.capnography);
  const cuff = isWorking(core, DEVICE.cuff);
  const attached: DeviceId[] = DEVICES.filter((_, device) => isAttached(core, device));
  const faulty = DEVICES.filter((_, device) => isAttached(core, device) && isFaulty(core, device));
  const everyMs = ints[I.cuffEveryMs]!;
  return {
    spo2Percent: oximeter ? shownSpo2(core) : null,
    pulsePerMin: oximeter ? shownPulse(core) : null,
    heartRatePerMin: ecg ? shownHeartRate(core) : null,
    respiratoryRatePerMin: capnography ? shownCapnographyRate(core) : ecg ? shownImpedanceRate(core) : null,
    etco2MmHg: capnography ? shownEtco2(core) : null,
    temperatureCelsius:
      isWorking(core, DEVICE.thermometer) && ints[I.thermometerReadAt]! >= 0 ? nums[N.thermometerShown]! : null,
    glucoseMmolPerL: isWorking(core, DEVICE.glucose) && ints[I.glucoseReadAt]! >= 0 ? nums[N.glucoseShown]! : null,
    bloodPressure: cuff ? shownPressure(core) : null,
    cuff: {
      inflating: cuff && cuffInflating(core),
      everyMs: cuff && everyMs > 0 ? everyMs : null,
      nextAtMs: cuff && ints[I.cuffNextAt]! >= 0 ? ints[I.cuffNextAt]! : null,
    },
    attached,
    plethFraction: oximeter ? rounded(Math.min(1, Math.max(0, nums[N.oximeterPleth]!))) : 0,
    oximeterMessage: oximeter ? oximeterMessage(core) : faulty.includes('oximeter') ? 'sensor fault' : null,
    ...(faulty.length === 0 ? {} : { faulty }),
  };
}

/** What the traces need, with null for everything that belongs to a device that is off. */
export function buildWave(core: RunCore): WaveformDrive {
  const v = core.vitals;
  const oximeter = isWorking(core, DEVICE.oximeter);
  const ecg = isWorking(core, DEVICE.ecg);
  const capnography = isWorking(core, DEVICE.capnography);
  const breaths = ecg || capnography;
  const restRate = core.plan.norms.respiratoryRatePerMin.median;
  const depth = v.respiratoryRatePerMin < 0.5 ? 0 : (v.ventilationRatio * restRate) / v.respiratoryRatePerMin;
  return {
    seed: core.plan.definition.seed,
    rhythm: ecg ? (RHYTHMS.find((rhythm) => rhythm.code === Math.round(v.rhythm))?.id ?? 'sinus') : null,
    ecgRatePerMin: ecg ? v.heartRatePerMin : null,
    pulsed: oximeter ? v.pulseRatePerMin > 0 && v.arrested < 0.5 : null,
    plethFraction: oximeter ? rounded(Math.min(1, Math.max(0, core.nums[N.oximeterPleth]!))) : null,
    breathRatePerMin: breaths ? v.respiratoryRatePerMin : null,
    breathDepthFraction: breaths ? Math.min(1, Math.max(0, depth)) : null,
    bronchospasmFraction: capnography ? v.bronchospasmFraction : null,
    // The gas seen now left the airway two seconds ago.
    etco2MmHg: capnography ? core.nums[N.capnographyLine]! : null,
    beatCount: ecg || oximeter ? rounded(core.nums[N.beats]!) : null,
    breathCount: breaths ? rounded(core.nums[N.breaths]!) : null,
    motionFraction: ecg || oximeter ? shaking(core) : null,
  };
}

function copyOf(vitals: Readonly<TrueVitals>): TrueVitals {
  return { ...vitals };
}

/** One row of the track: what is true (effective) and shown now. */
export function buildTrackRow(core: RunCore): TrackRow {
  const states: Record<string, string> = {};
  for (const thread of core.plan.threads) {
    states[thread.thread.id] = thread.states[core.ints[core.plan.threadBase + thread.index * T.size]!]!.state.id;
  }
  const signs = {} as Record<SignId, number>;
  for (const sign of SIGNS) signs[sign] = readSignIndex(core.plan.model, core.patient, sign);
  const take = core.ints[I.take]!;
  const row = { atMs: core.clockMs, true: copyOf(core.vitals), shown: buildShown(core), states, signs };
  return take === 1 ? row : { ...row, take };
}

function threadViews(core: RunCore): RunView['threads'] {
  const { plan, ints } = core;
  for (let k = 0; k < plan.threads.length; k++) {
    core.startStates[k] = ints[plan.threadBase + k * T.size + T.state]!;
  }
  return plan.threads.map((thread) => {
    const base = plan.threadBase + thread.index * T.size;
    const { state, transitions } = thread.states[ints[base + T.state]!]!;
    return {
      id: thread.thread.id,
      title: thread.thread.title,
      state: state.id,
      stateTitle: state.title,
      says: state.says ?? null,
      sinceMs: ints[base + T.enteredAt]!,
      next: transitions.map((transition) => ({
        to: transition.toId,
        title: transition.to < 0 ? transition.toId : thread.states[transition.to]!.state.title,
        because:
          transition.says === null
            ? transition.when.words(core)
            : `${transition.says} (${transition.when.words(core)})`,
        closeness: Math.min(1, Math.max(0, transition.when.closeness(core))),
      })),
      ending: state.ending ?? null,
    };
  });
}

function cuesDue(core: RunCore): RunView['cuesDue'] {
  const { plan, ints } = core;
  return plan.cues
    .filter(({ index }) => ints[plan.cueBase + index * C.size + C.status] !== CUE.waiting)
    .map(({ index, cue, thread }) => {
      const at = plan.cueBase + index * C.size;
      const spoken = ints[at + C.status] === CUE.spoken;
      return {
        cue,
        dueAtMs: ints[at + C.dueAt]!,
        spokenAtMs: spoken ? ints[at + C.spokenAt]! : null,
        thread: plan.threads[thread]!.thread.id,
      };
    });
}

function resultViews(core: RunCore): NonNullable<RunView['results']> {
  return core.samples.map((sample) => {
    const { seq, test, name, sampledAtMs, dueAtMs, values } = sample;
    const told = dueAtMs <= core.clockMs;
    return {
      seq,
      test,
      name,
      sampledAtMs,
      dueAtMs,
      text: told ? gasText(values) : null,
      values: told ? values : null,
    };
  });
}

/** Breathing support that scores by itself, from the last oxygen given. */
function supportNow(core: RunCore): ScoreContext['support'] {
  for (let i = core.doses.length - 1; i >= 0; i--) {
    const device = core.plan.interventions.get(core.doses[i]!.intervention)?.oxygen?.device;
    if (device === undefined) continue;
    // Taken off again: the mouth says so. (Support on air alone is missed.)
    if (core.vitals.fio2Fraction < 0.22) return null;
    if (device === 'cpap') return 'cpap';
    if (device === 'niv') return 'bilevel';
    return device === 'high-flow-nasal' ? 'high-flow' : null;
  }
  return null;
}

/** Bedside scores of the patient as they are (true values, overrides included), whole. */
export function scoresNow(core: RunCore): PatientScores {
  const signs = {} as Record<SignId, number>;
  for (const sign of SIGNS) signs[sign] = readSignIndex(core.plan.model, core.patient, sign);
  return scoresOf(core.plan.profile, core.vitals, signs, { support: supportNow(core) });
}

function scoreViews(core: RunCore): NonNullable<RunView['scores']> {
  return scoresNow(core).scores.map((score) =>
    score.ok
      ? {
          id: score.score,
          title: score.title,
          total: score.total,
          outOf: score.outOf,
          band: score.band,
          words: score.bandWords,
        }
      : {
          id: score.score,
          title: score.title,
          total: null,
          outOf: null,
          band: null,
          words: `${score.because}. ${score.mend}`,
        },
  );
}

/** The whole run now. */
export function buildView(core: RunCore): RunView {
  const { ints } = core;
  const why = ints[I.pausedWhy]!;
  return {
    phase: PHASES[ints[I.phase]!]!,
    pausedWhy: why === 0 ? null : (PAUSE_REASONS[why - 1] ?? null),
    realEmergency: ints[I.emergency] === 1,
    take: ints[I.take]!,
    clockMs: core.clockMs,
    threads: threadViews(core),
    trueVitals: copyOf(core.vitals),
    overridden: VITAL_IDS.filter((_, v) => ints[I.maskMode + v] !== 0),
    shown: buildShown(core),
    wave: buildWave(core),
    cuesDue: cuesDue(core),
    findings: findingsNow(core),
    revealed: core.revealed.map(({ finding, atMs, seq }) => ({ finding, atMs, seq })),
    doses: core.doses.map(({ seq, intervention, atMs, amount }) => ({ seq, intervention, atMs, amount })),
    faults: [...core.faults],
    results: resultViews(core),
    scores: scoreViews(core),
  };
}
