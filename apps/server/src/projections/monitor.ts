/**
 * What a learner's monitor sees: measured values of attached devices, and nothing else. Every field is named here one by
 * one; nothing is copied whole, so that a new field of the engine can not reach a learner by accident.
 */
import { resultName, type LiveView, type RunView, type ShownVitals, type WaveformDrive } from '@breathline/engine';
import type { ChestSounds, ClockAnchor, MonitorFrame } from '@breathline/protocol';
import type { DeviceId, Exhibit } from '@breathline/scenario';
import { isBlank, isRestarted, notAllRight } from './state.ts';

export interface MonitorSource {
  /** The monitor's own sequence; never the log's. */
  readonly roleSeq: number;
  readonly view: RunView;
  /** The title that tells learners nothing. */
  readonly learnerTitle: string;
  readonly ageYears: number;
  readonly anchor: ClockAnchor;
  /** What the scenario has to show, by which an exhibit's title and words are found. */
  readonly exhibits: readonly Exhibit[];
  /** Where a learners' screen finds a picture given by file name. */
  readonly pictureAddress: (file: string) => string;
  /** No louder than this. */
  readonly soundCapPercent: number;
  /** Real patients are near. */
  readonly inSitu: boolean;
  /** The how-manyth sound of the run a log line is: a monitor learns no number of the log. */
  readonly soundNumber: (seq: number) => number;
  /** What a stethoscope would hear; asked for only while learners listen. */
  readonly chest: () => ChestSounds | null;
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
  motionFraction: null,
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
    motionFraction: coarse(ecg || oximeter ? (wave.motionFraction ?? null) : null, 4),
  };
};

type FromLive = Pick<MonitorFrame, 'speed' | 'sound' | 'inSitu' | 'playing' | 'alarm' | 'may' | 'chest'>;

const fromLive = (live: LiveView, { soundCapPercent, inSitu, soundNumber, chest }: MonitorSource): FromLive => ({
  speed: live.speed,
  sound: {
    volumePercent: Math.min(live.sound.volumePercent, soundCapPercent),
    pulseTone: live.sound.pulseTone,
    alarms: live.sound.alarms,
  },
  inSitu,
  playing: live.playing.map(({ seq, sound, atMs }) => ({ seq: soundNumber(seq), sound, atMs })),
  alarm: {
    pausedUntilMs: live.alarm.pausedUntilMs,
    limits: live.alarm.limits.map(({ vital, low, high }) => ({ vital, low, high })),
  },
  may: { cuff: live.learnersMay.cuff, silence: live.learnersMay.silence, probes: live.learnersMay.probes },
  chest: live.listening ? chest() : null,
});

/**
 * What hangs on the results screen. Exhibits come when faculty show them. A gas comes by itself when it is due, as the
 * analyser would print it for whoever sent it: faculty have no hand free to pass on what the team has already asked for.
 */
const exhibitsOf = ({ view, exhibits, pictureAddress }: MonitorSource): NonNullable<MonitorFrame['exhibits']> => {
  const gases = (view.results ?? []).flatMap(({ name, text, dueAtMs }, at) =>
    text === null
      ? []
      : [{ id: `result-${at + 1}`, title: resultName(name), kind: 'gas' as const, text, sinceMs: dueAtMs }],
  );
  const shown = (view.live?.exhibits ?? []).flatMap(({ exhibit, sinceMs }) => {
    const at = exhibits.findIndex(({ id }) => id === exhibit);
    const found = exhibits[at];
    if (!found) return [];
    const { title, kind, text, picture } = found;
    // By its place, not its id: authors call things what they are.
    const id = `exhibit-${at + 1}`;
    return [{ id, title, kind, text, ...(picture ? { picture: pictureAddress(picture) } : {}), sinceMs }];
  });
  return [...gases, ...shown].sort((a, b) => a.sinceMs - b.sinceMs).slice(-100);
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
  const { roleSeq, view, learnerTitle, ageYears, anchor } = source;
  if (isBlank(view)) return blankFrame(source);
  return {
    t: 'monitor',
    roleSeq,
    phase: view.phase,
    restarted: isRestarted(view),
    ...notAllRight(view),
    blank: false,
    clockMs: view.clockMs,
    title: learnerTitle,
    shown: shownOf(view.shown),
    wave: waveOf(view.wave, view.shown.attached),
    ageYears,
    anchor: { serverMs: anchor.serverMs, runMs: anchor.runMs, rate: anchor.rate },
    exhibits: exhibitsOf(source),
    ...(view.live ? fromLive(view.live, source) : {}),
  };
};
