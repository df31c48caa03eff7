/**
 * What a learner's monitor sees: measured values of attached devices, and nothing else. Every field is named here one by
 * one; nothing is copied whole, so that a new field of the engine can not reach a learner by accident.
 */
import type { RunView, ShownVitals, WaveformDrive } from '@breathline/engine';
import type { MonitorFrame } from '@breathline/protocol';
import type { DeviceId } from '@breathline/scenario';
import { isBlank, isRestarted } from './state.ts';

export interface MonitorSource {
  /** The monitor's own sequence; never the log's. */
  readonly roleSeq: number;
  readonly view: RunView;
  /** The title that tells learners nothing. */
  readonly learnerTitle: string;
  readonly ageYears: number;
}

export const blankShown = (): ShownVitals => ({
  spo2Percent: null,
  pulsePerMin: null,
  heartRatePerMin: null,
  respiratoryRatePerMin: null,
  etco2MmHg: null,
  temperatureCelsius: null,
  glucoseMmolPerL: null,
  bloodPressure: null,
  cuff: { inflating: false, everyMs: null, nextAtMs: null },
  attached: [],
  plethFraction: 0,
  oximeterMessage: null,
});

export const blankWave = (): WaveformDrive => ({
  seed: 0,
  rhythm: null,
  ecgRatePerMin: null,
  pulsed: null,
  plethFraction: null,
  breathRatePerMin: null,
  breathDepthFraction: null,
  bronchospasmFraction: null,
  etco2MmHg: null,
  beatCount: null,
  breathCount: null,
});

const pressure = (reading: ShownVitals['bloodPressure']): ShownVitals['bloodPressure'] =>
  reading && {
    systolicMmHg: reading.systolicMmHg,
    diastolicMmHg: reading.diastolicMmHg,
    meanMmHg: reading.meanMmHg,
    takenAtMs: reading.takenAtMs,
    ...(reading.failed === undefined ? {} : { failed: reading.failed }),
  };

const shownOf = (shown: ShownVitals): ShownVitals => {
  const has = (device: DeviceId) => shown.attached.includes(device);
  const when = <T>(on: boolean, value: T): T | null => (on ? value : null);
  return {
    spo2Percent: when(has('oximeter'), shown.spo2Percent),
    pulsePerMin: when(has('oximeter'), shown.pulsePerMin),
    heartRatePerMin: when(has('ecg'), shown.heartRatePerMin),
    respiratoryRatePerMin: when(has('ecg') || has('capnography'), shown.respiratoryRatePerMin),
    etco2MmHg: when(has('capnography'), shown.etco2MmHg),
    temperatureCelsius: when(has('thermometer'), shown.temperatureCelsius),
    glucoseMmolPerL: when(has('glucose-meter'), shown.glucoseMmolPerL),
    bloodPressure: when(has('bp-cuff'), pressure(shown.bloodPressure)),
    cuff: has('bp-cuff')
      ? { inflating: shown.cuff.inflating, everyMs: shown.cuff.everyMs, nextAtMs: shown.cuff.nextAtMs }
      : { inflating: false, everyMs: null, nextAtMs: null },
    attached: [...shown.attached],
    plethFraction: has('oximeter') ? shown.plethFraction : 0,
    oximeterMessage: when(has('oximeter'), shown.oximeterMessage),
  };
};

/** `value` to a step of `1 / steps`; null stays null. */
const coarse = (value: number | null, steps: number): number | null =>
  value === null ? null : Math.round(value * steps) / steps;

/**
 * No beat for a lead that is off, no pulse without a probe, no breath without something that feels it. What is left is as
 * coarse as an eye on the trace could count it: the engine draws from the truth, and its decimals would give that away.
 */
const waveOf = (wave: WaveformDrive, attached: readonly DeviceId[]): WaveformDrive => {
  const ecg = attached.includes('ecg');
  const oximeter = attached.includes('oximeter');
  const capnography = attached.includes('capnography');
  const breaths = ecg || capnography;
  return {
    seed: wave.seed,
    rhythm: ecg ? wave.rhythm : null,
    ecgRatePerMin: coarse(ecg ? wave.ecgRatePerMin : null, 1),
    pulsed: oximeter ? wave.pulsed : null,
    plethFraction: oximeter ? wave.plethFraction : null,
    breathRatePerMin: coarse(breaths ? wave.breathRatePerMin : null, 1),
    breathDepthFraction: coarse(breaths ? wave.breathDepthFraction : null, 20),
    bronchospasmFraction: coarse(capnography ? wave.bronchospasmFraction : null, 20),
    etco2MmHg: coarse(capnography ? wave.etco2MmHg : null, 1),
    beatCount: ecg || oximeter ? (wave.beatCount ?? null) : null,
    breathCount: breaths ? (wave.breathCount ?? null) : null,
  };
};

/** A frame without a single number of the patient's: the real-emergency stop. */
const blankFrame = ({ roleSeq, view }: MonitorSource): MonitorFrame => ({
  t: 'monitor',
  roleSeq,
  phase: view.phase,
  restarted: isRestarted(view),
  blank: true,
  clockMs: 0,
  title: '',
  shown: blankShown(),
  wave: blankWave(),
  ageYears: 0,
});

export const monitorFrame = (source: MonitorSource): MonitorFrame => {
  const { roleSeq, view, learnerTitle, ageYears } = source;
  if (isBlank(view)) return blankFrame(source);
  return {
    t: 'monitor',
    roleSeq,
    phase: view.phase,
    restarted: isRestarted(view),
    blank: false,
    clockMs: view.clockMs,
    title: learnerTitle,
    shown: shownOf(view.shown),
    wave: waveOf(view.wave, view.shown.attached),
    ageYears,
  };
};
