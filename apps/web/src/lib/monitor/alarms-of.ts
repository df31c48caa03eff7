/** From a frame to what its alarms are judged by. Pure. Training only; limits are for a drill, never for a patient. */
import { alarmRanges, type MonitorFrame } from '@breathline/protocol';
import { alarmLimits, type AlarmLimits } from '@breathline/signals';

/** Limits usual at an age (`alarmRanges` names the sources; the rest common practice), with what faculty changed. */
export function limitsFor(ageYears: number, changed: NonNullable<MonitorFrame['alarm']>['limits'] = []): AlarmLimits {
  return alarmLimits(alarmRanges(ageYears), changed);
}

/** 0 to 1: how much the traces are shaken; where a run does not say, the probe's own message does. */
export function motionOf(frame: MonitorFrame): number {
  return frame.wave.motionFraction ?? (frame.shown.oximeterMessage?.startsWith('movement') ? 1 : 0);
}
