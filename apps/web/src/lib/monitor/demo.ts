/** Frames made up on this device, to look at the screen without a server. Invented numbers; never a run. */
import type { MonitorFrame } from '@breathline/protocol';

export const DEMO_CASES = {
  well: 'Well, everything attached',
  none: 'Nothing attached',
  some: 'Oximeter and cuff only',
  shock: 'Shock',
  wheeze: 'Severe bronchospasm',
  vf: 'Arrest: ventricular fibrillation',
  pea: 'Arrest: electrical activity without a pulse',
  asystole: 'Arrest: asystole',
  svt: 'Supraventricular tachycardia',
  vt: 'Ventricular tachycardia',
  ectopics: 'Ectopic beats',
  inflating: 'Cuff inflating',
  failed: 'Cuff failed',
  apnoea: 'Apnoea',
  moving: 'The patient moves',
  probeoff: 'Probe off, leads on',
  pressing: 'Learners may press',
  results: 'Results to look at',
  listening: 'Listening to the chest',
  ready: 'Ready',
  paused: 'Paused',
  ended: 'Ended',
  restarted: 'Server restarted',
  blank: 'Stop: real emergency',
  lost: 'Signal lost after three seconds',
} as const;
export type DemoCase = keyof typeof DEMO_CASES;

type Part = {
  shown?: Partial<MonitorFrame['shown']>;
  wave?: Partial<MonitorFrame['wave']>;
  frame?: Partial<MonitorFrame>;
};

function pressure(systolicMmHg: number, diastolicMmHg: number, takenAtMs: number) {
  return {
    systolicMmHg,
    diastolicMmHg,
    meanMmHg: Math.round(diastolicMmHg + (systolicMmHg - diastolicMmHg) / 3),
    takenAtMs,
  };
}

function arrest(rhythm: string, rate: number): Part {
  return {
    shown: {
      heartRatePerMin: rhythm === 'vf' ? null : rate,
      spo2Percent: null,
      pulsePerMin: null,
      respiratoryRatePerMin: 0,
      etco2MmHg: 9,
      plethFraction: 0,
      oximeterMessage: 'no pulse found',
      bloodPressure: {
        systolicMmHg: null,
        diastolicMmHg: null,
        meanMmHg: null,
        takenAtMs: 300_000,
        failed: 'no pulse felt in the cuff',
      },
    },
    wave: { rhythm, ecgRatePerMin: rate, pulsed: false, plethFraction: 0, breathRatePerMin: 0, etco2MmHg: 9 },
  };
}

const PARTS: Readonly<Record<DemoCase, Part>> = {
  well: {},
  none: { shown: { attached: [] } },
  some: {
    shown: { attached: ['oximeter', 'bp-cuff'], bloodPressure: null },
    wave: { rhythm: null, ecgRatePerMin: null, breathRatePerMin: null, etco2MmHg: null },
  },
  shock: {
    shown: {
      heartRatePerMin: 164,
      pulsePerMin: 162,
      spo2Percent: 91,
      respiratoryRatePerMin: 38,
      etco2MmHg: 27,
      plethFraction: 0.22,
      oximeterMessage: 'low perfusion: the reading may be wrong',
      bloodPressure: pressure(62, 28, 232_000),
    },
    wave: { ecgRatePerMin: 164, plethFraction: 0.22, breathRatePerMin: 38, breathDepthFraction: 0.8, etco2MmHg: 27 },
  },
  wheeze: {
    shown: { spo2Percent: 84, heartRatePerMin: 148, pulsePerMin: 148, respiratoryRatePerMin: 34, etco2MmHg: 58 },
    wave: {
      ecgRatePerMin: 148,
      breathRatePerMin: 34,
      breathDepthFraction: 0.9,
      bronchospasmFraction: 0.9,
      etco2MmHg: 58,
    },
  },
  vf: arrest('ventricular-fibrillation', 0),
  pea: arrest('pulseless-electrical-activity', 46),
  asystole: arrest('asystole', 0),
  svt: {
    shown: { heartRatePerMin: 232, pulsePerMin: 230, plethFraction: 0.5 },
    wave: { rhythm: 'svt', ecgRatePerMin: 232, plethFraction: 0.5 },
  },
  vt: {
    shown: { heartRatePerMin: 188, pulsePerMin: 186, plethFraction: 0.4 },
    wave: { rhythm: 'ventricular-tachycardia', pulsed: true, ecgRatePerMin: 188, plethFraction: 0.4 },
  },
  ectopics: { wave: { rhythm: 'ventricular-ectopics' } },
  inflating: { shown: { cuff: { inflating: true, everyMs: 300_000, nextAtMs: null } } },
  failed: {
    shown: {
      bloodPressure: {
        systolicMmHg: null,
        diastolicMmHg: null,
        meanMmHg: null,
        takenAtMs: 290_000,
        failed: 'pressure too low to read',
      },
    },
  },
  apnoea: {
    shown: { respiratoryRatePerMin: 0, etco2MmHg: null, spo2Percent: 78 },
    wave: { breathRatePerMin: 0, etco2MmHg: null },
  },
  moving: { shown: { plethFraction: 0.1, oximeterMessage: 'movement' }, wave: { plethFraction: 0.1 } },
  probeoff: {
    shown: {
      attached: ['ecg', 'bp-cuff', 'thermometer'],
      spo2Percent: null,
      pulsePerMin: null,
      etco2MmHg: null,
      plethFraction: 0,
    },
    wave: { plethFraction: null, pulsed: null, etco2MmHg: null },
  },
  pressing: {
    shown: { attached: ['bp-cuff', 'oximeter'], spo2Percent: 91 },
    frame: { may: { cuff: true, silence: true, probes: true } },
  },
  results: {
    frame: {
      exhibits: [
        {
          id: 'note',
          title: 'Letter from the school',
          kind: 'document',
          text: 'Made-up letter.\nKnown allergy: cashew.\nCarries two injectors.',
          sinceMs: 60_000,
        },
        {
          id: 'gas-1',
          title: 'Venous blood gas',
          kind: 'gas',
          text: 'pH 7.21\nCO₂ 62 mmHg (8.3 kPa)\nBicarbonate 23 mmol/L\nLactate 4.1 mmol/L\nGlucose 9.8 mmol/L',
          sinceMs: 300_000,
        },
      ],
    },
  },
  listening: {
    wave: { bronchospasmFraction: 0.7, breathRatePerMin: 34 },
    frame: {
      chest: {
        left: { airEntry: 0.5, wheeze: 0.8, crackles: 0 },
        right: { airEntry: 0.02, wheeze: 0, crackles: 0 },
        stridor: 0,
      },
    },
  },
  ready: { frame: { phase: 'ready' } },
  paused: { frame: { phase: 'paused' } },
  ended: { frame: { phase: 'ended' } },
  restarted: { frame: { phase: 'paused', restarted: true } },
  blank: { frame: { blank: true } },
  lost: {},
};

/** A made-up frame at a run-clock time. */
export function demoFrame(name: DemoCase, clockMs: number): MonitorFrame {
  const part = PARTS[name];
  return {
    t: 'monitor',
    roleSeq: Math.floor(clockMs / 250),
    phase: 'running',
    restarted: false,
    blank: false,
    clockMs,
    title: 'Made-up patient',
    ageYears: 7,
    ...part.frame,
    shown: {
      spo2Percent: 98,
      pulsePerMin: 96,
      heartRatePerMin: 96,
      respiratoryRatePerMin: 20,
      etco2MmHg: 37,
      temperatureCelsius: 36.8,
      glucoseMmolPerL: 5.4,
      bloodPressure: pressure(104, 62, 180_000),
      cuff: { inflating: false, everyMs: 300_000, nextAtMs: 480_000 },
      attached: ['oximeter', 'ecg', 'bp-cuff', 'capnography', 'thermometer', 'glucose-meter'],
      plethFraction: 1,
      oximeterMessage: null,
      ...part.shown,
    },
    wave: {
      seed: 20_251,
      rhythm: 'sinus',
      ecgRatePerMin: 96,
      pulsed: true,
      plethFraction: 1,
      breathRatePerMin: 20,
      breathDepthFraction: 1,
      bronchospasmFraction: 0,
      etco2MmHg: 37,
      ...part.wave,
    },
  };
}
