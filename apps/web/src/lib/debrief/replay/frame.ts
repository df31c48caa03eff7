/** A frame for the monitor from a replayed run: what its screen showed at that moment, and nothing it could not. */
import type { RunView } from '@breathline/engine';
import type { MonitorFrame } from '@breathline/protocol';

interface How {
  readonly playing: boolean;
  readonly speed: number;
  readonly ageYears: number;
  readonly roleSeq: number;
}

/** No trace without its lead, probe or sampling line. */
function waveOf({ wave, shown }: RunView): MonitorFrame['wave'] {
  const on = new Set(shown.attached);
  const [ecg, oximeter, co2] = [on.has('ecg'), on.has('oximeter'), on.has('capnography')];
  return {
    ...wave,
    rhythm: ecg ? wave.rhythm : null,
    ecgRatePerMin: ecg ? wave.ecgRatePerMin : null,
    pulsed: oximeter ? wave.pulsed : null,
    plethFraction: oximeter ? wave.plethFraction : null,
    breathRatePerMin: ecg || co2 ? wave.breathRatePerMin : null,
    breathDepthFraction: ecg || co2 ? wave.breathDepthFraction : null,
    bronchospasmFraction: co2 ? wave.bronchospasmFraction : null,
    etco2MmHg: co2 ? wave.etco2MmHg : null,
  };
}

export function frameOf(view: RunView, title: string, clockMs: number, how: How): MonitorFrame {
  const { live, shown } = view;
  return {
    t: 'monitor',
    roleSeq: how.roleSeq,
    phase: how.playing ? 'running' : 'paused',
    restarted: false,
    blank: false,
    clockMs,
    title,
    shown,
    wave: waveOf(view),
    ageYears: how.ageYears,
    speed: how.speed as NonNullable<MonitorFrame['speed']>,
    ...(live ? { sound: live.sound, alarm: live.alarm } : {}),
  };
}
