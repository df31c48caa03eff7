/** From a frame to what its alarms are judged by. Pure. Training only; limits are for a drill, never for a patient. */
import { ageNorms, CENTILES } from '@breathline/patient';
import { alarmLimits, type AlarmLimits, type AlarmReadings } from '@breathline/signals';
import type { MonitorFrame } from '@breathline/protocol';

/**
 * Limits usual at an age, with what faculty changed: heart and breathing rate at the 1st and 99th centile (Fleming S et al.
 * Lancet 2011;377:1011-18; adults as kept in the same table), pressure as in the patient's norms, the rest common practice.
 */
export function limitsFor(ageYears: number, changed: NonNullable<MonitorFrame['alarm']>['limits'] = []): AlarmLimits {
  const age = Math.min(120, Math.max(0, Number.isFinite(ageYears) ? ageYears : 0));
  const band = CENTILES.find(({ toYears }) => age < toYears) ?? CENTILES.at(-1)!;
  const norms = ageNorms(age);
  return alarmLimits(
    {
      heartRatePerMin: { low: band.heart[0], high: band.heart[4] },
      respiratoryRatePerMin: { low: band.breathing[0], high: band.breathing[4] },
      systolicMmHg: { low: norms.systolicLowMmHg, high: norms.systolicHighMmHg },
    },
    changed,
  );
}

function probeOf(message: string | null): AlarmReadings['probe'] {
  if (message === null) return 'good';
  if (message.startsWith('movement')) return 'movement';
  if (message.startsWith('measuring')) return 'starting';
  if (/no reading|searching|no pulse/.test(message)) return 'lost';
  return 'weak';
}

/** 0 to 1: how much the traces are shaken. The probe says so; nothing else on a frame does. */
export function motionOf(frame: MonitorFrame): number {
  return frame.shown.oximeterMessage?.startsWith('movement') ? 1 : 0;
}

/** What the alarms of a frame are judged by. The pulse stands in for the heart rate while no lead is on. */
export function readingsOf(frame: MonitorFrame): AlarmReadings {
  const { shown, wave, alarm } = frame;
  const on = (device: MonitorFrame['shown']['attached'][number]): boolean => shown.attached.includes(device);
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
