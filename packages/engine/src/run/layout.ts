/**
 * Where each number of a run lives. A run's state is two flat arrays beside the patient's own, so that it can be copied,
 * compared and hashed bit for bit and the inner loop allocates nothing.
 */
import { DEVICES, type DeviceId } from '@breathline/scenario';
import { VITAL_IDS } from '../vitals.ts';

/** Fixed integer slots. */
export const I = {
  clockMs: 0,
  phase: 1,
  pausedWhy: 2,
  emergency: 3,
  take: 4,
  arrested: 5,
  /** Rises by one at each entry of a state and each faculty flag, to tell which came first within one step. */
  order: 6,
  /** One bit a device, in DEVICES order. */
  attached: 7,
  patientFailed: 8,
  activeMasks: 9,
  activeScripts: 10,
  /** Time each device was attached: 6 slots. */
  attachedAt: 11,
  /** Noise stream of each device: 6 slots. */
  noise: 17,
  oximeterLost: 23,
  oximeterAcquired: 24,
  oximeterHead: 25,
  oximeterFilled: 26,
  oximeterBadSince: 27,
  cuffStartedAt: 28,
  cuffEndsAt: 29,
  cuffEveryMs: 30,
  cuffNextAt: 31,
  cuffTakenAt: 32,
  cuffFailed: 33,
  cuffHasReading: 34,
  thermometerReadAt: 35,
  glucoseReadAt: 36,
  capnographyApnoeaSince: 37,
  cuffSamples: 38,
  /** What faculty decided about an arrest, and which devices have failed; see LIVE. 0 while there is nothing of either. */
  live: 39,
  /** Mask mode of each vital: 0 none, 1 held, 2 handing back. */
  maskMode: 40,
  maskStart: 40 + VITAL_IDS.length,
  maskOver: 40 + VITAL_IDS.length * 2,
  /** Script mode of each vital: 0 none, 1 steering, 2 handing back. */
  scriptMode: 40 + VITAL_IDS.length * 3,
  scriptStart: 40 + VITAL_IDS.length * 4,
  /** Which thread steers it. */
  scriptOwner: 40 + VITAL_IDS.length * 5,
  /** Noise stream of the patient's movements, apart from the devices' own. */
  movementNoise: 40 + VITAL_IDS.length * 6,
  /** Run clock at which the present bout of movement ends; -1 between bouts. */
  movementUntil: 40 + VITAL_IDS.length * 6 + 1,
  capnographyHead: 40 + VITAL_IDS.length * 6 + 2,
  end: 40 + VITAL_IDS.length * 6 + 3,
} as const;

/** Gas on its way down the sampling line, one slot a step: 2 s. */
export const LINE_RING = 20;

/** Ring of arterial saturation, one a second, long enough for the slowest finger. */
export const FINGER_RING = 48;

/** Fixed floating-point slots. */
export const N = {
  maskFrom: 0,
  maskTo: VITAL_IDS.length,
  maskHeld: VITAL_IDS.length * 2,
  scriptValue: VITAL_IDS.length * 3,
  scriptTo: VITAL_IDS.length * 4,
  scriptShare: VITAL_IDS.length * 5,
  oximeterSpo2: VITAL_IDS.length * 6,
  oximeterPulse: VITAL_IDS.length * 6 + 1,
  oximeterNoise: VITAL_IDS.length * 6 + 2,
  oximeterPleth: VITAL_IDS.length * 6 + 3,
  ecgRate: VITAL_IDS.length * 6 + 4,
  ecgNoise: VITAL_IDS.length * 6 + 5,
  impedanceRate: VITAL_IDS.length * 6 + 6,
  capnographyEtco2: VITAL_IDS.length * 6 + 7,
  capnographyRate: VITAL_IDS.length * 6 + 8,
  thermometer: VITAL_IDS.length * 6 + 9,
  thermometerShown: VITAL_IDS.length * 6 + 10,
  glucoseShown: VITAL_IDS.length * 6 + 11,
  cuffSystolic: VITAL_IDS.length * 6 + 12,
  cuffDiastolic: VITAL_IDS.length * 6 + 13,
  cuffMean: VITAL_IDS.length * 6 + 14,
  cuffSumSystolic: VITAL_IDS.length * 6 + 15,
  cuffSumDiastolic: VITAL_IDS.length * 6 + 16,
  cuffSumMean: VITAL_IDS.length * 6 + 17,
  capnographyNoise: VITAL_IDS.length * 6 + 18,
  capnographyLine: VITAL_IDS.length * 6 + 19,
  /** Beats and breaths since the run began, with the part one. */
  beats: VITAL_IDS.length * 6 + 20,
  breaths: VITAL_IDS.length * 6 + 21,
  fingerRing: VITAL_IDS.length * 6 + 22,
  /** How much the patient moves, 0 to 1. */
  movement: VITAL_IDS.length * 6 + 22 + FINGER_RING,
  cuffMovement: VITAL_IDS.length * 6 + 22 + FINGER_RING + 1,
  /** Time the present cuff cycle was lengthened by movement, ms. */
  cuffExtraMs: VITAL_IDS.length * 6 + 22 + FINGER_RING + 2,
  /** Glucose in the drop on the strip. */
  glucoseDrop: VITAL_IDS.length * 6 + 22 + FINGER_RING + 3,
  /** Skin perfusion when the drop was taken. */
  glucosePerfusion: VITAL_IDS.length * 6 + 22 + FINGER_RING + 4,
  lineEtco2: VITAL_IDS.length * 6 + 22 + FINGER_RING + 5,
  lineRate: VITAL_IDS.length * 6 + 22 + FINGER_RING + 5 + LINE_RING,
  end: VITAL_IDS.length * 6 + 22 + FINGER_RING + 5 + LINE_RING * 2,
} as const;

/** Bits of I.live; a failed device is `failed` shifted by its index. */
export const LIVE = { asked: 1, allowed: 2, refused: 4, agreed: 8, failed: 256 } as const;

export { DEVICES };
/** Places of devices in DEVICES. */
export const DEVICE = {
  oximeter: 0,
  ecg: 1,
  cuff: 2,
  capnography: 3,
  thermometer: 4,
  glucose: 5,
} as const;

export function deviceIndex(device: DeviceId): number {
  return DEVICES.indexOf(device);
}

export const PHASES = ['ready', 'running', 'paused', 'ended'] as const;
export const PHASE = { ready: 0, running: 1, paused: 2, ended: 3 } as const;
export const PAUSE_REASONS = [
  'faculty',
  'server-restart',
  'someone-not-all-right',
  'real-emergency',
  'discuss',
] as const;

/** Integer slots of one thread, counted from its base. */
export const T = { state: 0, enteredAt: 1, enteredOrder: 2, quick: 3, halted: 4, size: 5 } as const;
/** Integer slots of one cue. */
export const C = { status: 0, dueAt: 1, spokenAt: 2, size: 3 } as const;
export const CUE = { waiting: 0, due: 1, spoken: 2 } as const;
/** Integer slots of one faculty flag. */
export const F = { order: 0, atMs: 1, size: 2 } as const;
