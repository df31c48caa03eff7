/**
 * From what a monitor is told to what its alarms are judged by, so that whoever judges the same frame comes to the same
 * alarms: each screen for itself, and the server for screens that join late. Pure; the shapes are structural, since this
 * package knows of no other.
 */
import type { AlarmReadings } from './alarms.ts';

/** As much of a monitor's frame as alarms need. */
export interface AlarmSource {
  readonly shown: {
    readonly spo2Percent: number | null;
    readonly pulsePerMin: number | null;
    readonly heartRatePerMin: number | null;
    readonly respiratoryRatePerMin: number | null;
    readonly etco2MmHg: number | null;
    readonly temperatureCelsius: number | null;
    readonly glucoseMmolPerL: number | null;
    readonly bloodPressure: { readonly systolicMmHg: number | null; readonly failed?: string } | null;
    readonly cuff: { readonly inflating: boolean };
    readonly attached: readonly string[];
    readonly oximeterMessage: string | null;
  };
  readonly wave: { readonly rhythm: string | null };
  readonly alarm?: { readonly pausedUntilMs: number | null };
}

function probeOf(message: string | null): AlarmReadings['probe'] {
  if (message === null) return 'good';
  if (message.startsWith('movement')) return 'movement';
  if (message.startsWith('measuring')) return 'starting';
  if (/no reading|searching|no pulse/.test(message)) return 'lost';
  return 'weak';
}

/** What the alarms of a frame are judged by. The pulse stands in for the heart rate while no lead is on. */
export function alarmReadings({ shown, wave, alarm }: AlarmSource): AlarmReadings {
  const on = (device: string): boolean => shown.attached.includes(device);
  const pressure = on('bp-cuff') ? shown.bloodPressure : null;
  return {
    heartRatePerMin: on('ecg') ? shown.heartRatePerMin : shown.pulsePerMin,
    spo2Percent: shown.spo2Percent,
    respiratoryRatePerMin: shown.respiratoryRatePerMin,
    systolicMmHg: pressure?.systolicMmHg ?? null,
    etco2MmHg: shown.etco2MmHg,
    temperatureCelsius: shown.temperatureCelsius,
    glucoseMmolPerL: shown.glucoseMmolPerL,
    rhythm: wave.rhythm,
    leadsOn: on('ecg'),
    probeOn: on('oximeter'),
    cuffOn: on('bp-cuff'),
    co2LineOn: on('capnography'),
    probe: probeOf(shown.oximeterMessage),
    cuffFailed: pressure?.failed !== undefined && !shown.cuff.inflating,
    pausedUntilMs: alarm?.pausedUntilMs ?? null,
  };
}
