/** From a frame to the words and numbers on the screen. Pure, so that it can be tested without one. */
import type { MonitorFrame } from '@breathline/protocol';

export type BandId = 'heart' | 'oxygen' | 'breathing' | 'co2';
export type TileId = 'pressure' | 'temperature' | 'glucose';
export type TraceId = 'ecg' | 'pleth' | 'breathing' | 'co2';
export type Co2Unit = 'mmHg' | 'kPa';

/** Shown in place of a number when the device is on and has none to give. */
export const NO_NUMBER = '– –';

/** A vital with a trace. */
export interface BandView {
  readonly id: BandId;
  readonly trace: TraceId;
  readonly label: string;
  readonly unit: string;
  readonly attached: boolean;
  /** Said when not attached. */
  readonly absent: string;
  readonly value: string;
  /** Words beside the trace: a signal problem, or what is awaited. */
  readonly note: string | null;
  /** A smaller number from the same device. */
  readonly second: { readonly label: string; readonly value: string; readonly unit: string } | null;
}

/** A vital measured now and then. */
export interface TileView {
  readonly id: TileId;
  readonly label: string;
  readonly unit: string;
  readonly attached: boolean;
  readonly absent: string;
  readonly value: string;
  /** "mean 62", "Cuff inflating". */
  readonly note: string | null;
  /** How old the value is, in words. */
  readonly age: string | null;
  /** When the next reading is due, in words. */
  readonly next: string | null;
  readonly busy: boolean;
}

export interface ScreenView {
  readonly bands: readonly BandView[];
  readonly tiles: readonly TileView[];
  readonly attachedCount: number;
}

const MMHG_TO_KPA = 0.133_322;

function whole(value: number | null): string {
  return value === null || !Number.isFinite(value) ? NO_NUMBER : String(Math.round(value));
}

function tenths(value: number | null): string {
  return value === null || !Number.isFinite(value) ? NO_NUMBER : value.toFixed(1);
}

/** "40 s ago", "3 min ago"; "just now" in the first ten seconds. */
export function agoText(ms: number): string {
  const s = Math.max(0, Math.floor(ms / 1000));
  if (s < 10) return 'just now';
  if (s < 60) return `${Math.floor(s / 10) * 10} s ago`;
  if (s < 3600) return `${Math.floor(s / 60)} min ago`;
  return `${Math.floor(s / 3600)} h ${Math.floor((s % 3600) / 60)} min ago`;
}

function nextText(ms: number): string {
  const s = Math.max(0, Math.ceil(ms / 1000));
  return s < 60 ? `next in ${s} s` : `next in ${Math.ceil(s / 60)} min`;
}

function pressureTile(frame: MonitorFrame): TileView {
  const { bloodPressure, cuff, attached } = frame.shown;
  const bare = {
    id: 'pressure',
    label: 'Blood pressure',
    unit: 'mmHg',
    attached: attached.includes('bp-cuff'),
    absent: 'Blood pressure cuff not attached',
  } as const;
  const next =
    cuff.nextAtMs !== null && !cuff.inflating && cuff.nextAtMs > frame.clockMs
      ? nextText(cuff.nextAtMs - frame.clockMs)
      : null;
  if (!bloodPressure) {
    const note = cuff.inflating ? 'Cuff inflating' : 'No reading yet';
    return { ...bare, value: NO_NUMBER, note, age: null, next, busy: cuff.inflating };
  }
  const age = agoText(frame.clockMs - bloodPressure.takenAtMs);
  const { systolicMmHg: systolic, diastolicMmHg: diastolic, meanMmHg: mean, failed } = bloodPressure;
  if (failed !== undefined || systolic === null || diastolic === null) {
    const why = failed === undefined || failed === '' ? 'no reading' : failed;
    return {
      ...bare,
      value: NO_NUMBER,
      note: cuff.inflating ? 'Cuff inflating' : `Cuff failed: ${why}`,
      age,
      next,
      busy: cuff.inflating,
    };
  }
  return {
    ...bare,
    value: `${whole(systolic)}/${whole(diastolic)}`,
    note: cuff.inflating ? 'Cuff inflating' : mean === null ? null : `mean ${whole(mean)}`,
    age,
    next,
    busy: cuff.inflating,
  };
}

/** Everything the screen says, in its fixed order of places. */
export function viewOf(frame: MonitorFrame, co2Unit: Co2Unit): ScreenView {
  const { shown } = frame;
  const on = (device: MonitorFrame['shown']['attached'][number]): boolean => shown.attached.includes(device);
  const leads = on('ecg');
  const probe = on('oximeter');
  const line = on('capnography');
  const awaited = (value: number | null): string | null => (value === null ? 'no reading yet' : null);
  const co2 =
    shown.etco2MmHg === null
      ? NO_NUMBER
      : co2Unit === 'kPa'
        ? tenths(shown.etco2MmHg * MMHG_TO_KPA)
        : whole(shown.etco2MmHg);
  const bands: BandView[] = [
    {
      id: 'heart',
      trace: 'ecg',
      label: 'Heart rate',
      unit: '/min',
      attached: leads,
      absent: 'ECG leads not attached',
      value: whole(shown.heartRatePerMin),
      note: awaited(shown.heartRatePerMin),
      second: null,
    },
    {
      id: 'oxygen',
      trace: 'pleth',
      label: 'Oxygen saturation',
      unit: 'SpO₂ %',
      attached: probe,
      absent: 'Oximeter not attached',
      value: whole(shown.spo2Percent),
      note: shown.oximeterMessage ?? awaited(shown.spo2Percent),
      second: { label: 'Pulse', value: whole(shown.pulsePerMin), unit: '/min' },
    },
    {
      id: 'breathing',
      trace: 'breathing',
      label: 'Breathing rate',
      unit: '/min',
      attached: leads,
      absent: 'Breathing: ECG leads not attached',
      value: whole(shown.respiratoryRatePerMin),
      note: awaited(shown.respiratoryRatePerMin),
      second: null,
    },
    {
      id: 'co2',
      trace: 'co2',
      label: 'Carbon dioxide',
      unit: `EtCO₂ ${co2Unit}`,
      attached: line,
      absent: 'Capnograph not attached',
      value: co2,
      note: awaited(shown.etco2MmHg),
      second: leads ? null : { label: 'Breaths', value: whole(shown.respiratoryRatePerMin), unit: '/min' },
    },
  ];
  const tiles: TileView[] = [
    pressureTile(frame),
    {
      id: 'temperature',
      label: 'Temperature',
      unit: '°C',
      attached: on('thermometer'),
      absent: 'Thermometer not attached',
      value: tenths(shown.temperatureCelsius),
      note: awaited(shown.temperatureCelsius),
      age: null,
      next: null,
      busy: false,
    },
    {
      id: 'glucose',
      label: 'Blood glucose',
      unit: 'mmol/L',
      attached: on('glucose-meter'),
      absent: 'Glucose not measured',
      value: tenths(shown.glucoseMmolPerL),
      note: awaited(shown.glucoseMmolPerL),
      age: null,
      next: null,
      busy: false,
    },
  ];
  return {
    bands,
    tiles,
    attachedCount: [...bands, ...tiles].filter((part) => part.attached).length,
  };
}

/** What stands across the top, or over everything, apart from the vitals. */
export interface Notice {
  readonly tone: 'plain' | 'warn' | 'danger';
  readonly title: string;
  readonly detail: string;
  /** Hides every number and trace. */
  readonly covers: boolean;
}

/** Frames come about four times a second while a run goes on; past this silence nothing shown is news, ms. */
export const QUIET_AFTER_MS = 2000;
/** Past this silence the screen stops running on alone: nothing is shown any more, ms. */
export const LOST_AFTER_MS = 20_000;
/** A screen that was opened and has heard nothing for so long says so: there is no patient to run on with, ms. */
export const NEVER_HEARD_MS = 6_000;

const secondsOf = (ms: number): string => `${Math.floor(ms / 1000)} s`;

/**
 * The notice in force, or null.
 *
 * @param silentMs since the last frame
 * @param lineUp the socket is open and answering
 */
export function noticeOf(frame: MonitorFrame | null, silentMs: number, lineUp: boolean): Notice | null {
  if (frame?.blank) {
    return {
      tone: 'danger',
      title: 'Stop: real emergency',
      detail: 'The simulation has stopped. Nothing here is about a real patient. Faculty can resume it.',
      covers: true,
    };
  }
  const quiet = silentMs > QUIET_AFTER_MS;
  if (frame && frame.phase !== 'ended' && quiet && (frame.phase === 'running' || !lineUp)) {
    if (silentMs > LOST_AFTER_MS) {
      return {
        tone: 'danger',
        title: 'Signal lost: ask faculty',
        detail: `Nothing shown is live. Trying again. Silent for ${secondsOf(silentMs)}.`,
        covers: false,
      };
    }
    return {
      tone: 'warn',
      title: 'Running on alone',
      detail: `Server not heard for ${secondsOf(silentMs)}: numbers are held, not new. Trying again.`,
      covers: false,
    };
  }
  if (!frame) {
    if (silentMs > NEVER_HEARD_MS) {
      return {
        tone: 'danger',
        title: 'Signal lost: ask faculty',
        detail:
          'This screen has not reached the server since it was opened. Nothing is shown until it does. Trying again.',
        covers: true,
      };
    }
    return {
      tone: 'plain',
      title: 'Connecting',
      detail: 'Waiting for the first reading from the server.',
      covers: true,
    };
  }
  if (frame.phase === 'ended') {
    return { tone: 'plain', title: 'The run has ended', detail: 'Faculty will open the debrief.', covers: true };
  }
  if (frame.notAllRight) {
    return {
      tone: 'warn',
      title: 'Paused for someone in the room',
      detail: 'The drill waits while they are looked after. Nothing needs doing for the patient.',
      covers: false,
    };
  }
  if (frame.restarted) {
    return {
      tone: 'warn',
      title: 'Server restarted',
      detail: 'The run waits at the same moment until faculty resume it.',
      covers: false,
    };
  }
  if (frame.phase === 'paused') {
    return { tone: 'warn', title: 'Paused', detail: 'The run clock is stopped. Faculty will resume.', covers: false };
  }
  if (frame.phase === 'ready') {
    return { tone: 'plain', title: 'Ready', detail: 'Not started yet. Faculty will start the run.', covers: false };
  }
  return null;
}

/** True when numbers must not be shown because nothing says they still hold. */
export function isLost(notice: Notice | null): boolean {
  return notice !== null && notice.title.startsWith('Signal lost');
}

/** True while the screen runs on alone: numbers are shown as held, and are not new. */
export function isHeld(notice: Notice | null): boolean {
  return notice !== null && notice.title === 'Running on alone';
}
