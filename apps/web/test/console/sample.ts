/** A small invented library, scenario and view for the console's tests. Numbers are fixtures, not advice. */
import type { Finding, TrueVitals } from '@breathline/patient';
import type { RunEvent, RunView, ShownVitals, EventBody } from '@breathline/engine';
import type { GuidelinePack, Intervention, Library, Scenario, Source } from '@breathline/scenario';
import type { FacultyFrame, LogLine } from '@breathline/protocol';

export const source: Source = {
  organisation: 'Test fixture',
  document: 'Invented numbers',
  verified: 'teaching',
  checkedOn: '2026-01-01',
};

function item(part: Partial<Intervention> & Pick<Intervention, 'id' | 'name' | 'group' | 'kind'>): Intervention {
  return { search: [], ...part };
}

export const interventions: readonly Intervention[] = [
  item({
    id: 'adrenaline-im',
    name: 'Adrenaline IM',
    nameUs: 'Epinephrine IM',
    group: 'circulation',
    kind: 'drug',
    drug: 'adrenaline',
    route: 'im',
    unit: 'micrograms',
    sites: ['left thigh', 'right thigh'],
    concentrations: [
      { label: '1 mg/mL', amount: 1000, perMl: 1 },
      { label: '0.1 mg/mL', amount: 100, perMl: 1 },
    ],
    steps: ['said', 'drawn-up', 'given'],
    warnAbove: { perKg: 20, total: 1000 },
    oneTap: 1,
    search: ['intramuscular', 'injection'],
  }),
  item({
    id: 'adrenaline-neb',
    name: 'Adrenaline nebulised',
    group: 'airway',
    kind: 'drug',
    drug: 'adrenaline',
    route: 'neb',
    unit: 'mg',
    search: ['nebuliser'],
  }),
  item({
    id: 'oxygen-15',
    name: 'Oxygen 15 L/min, non-rebreathe mask',
    short: 'Oxygen 15 L',
    group: 'breathing',
    kind: 'oxygen',
    oxygen: { device: 'non-rebreathe-mask', flowLPerMin: 15 },
    oneTap: 2,
    search: ['o2', 'high flow'],
  }),
  item({
    id: 'legs-raised',
    name: 'Legs raised',
    group: 'circulation',
    kind: 'posture',
    posture: 'legs-raised',
    oneTap: 3,
    search: ['lie flat'],
  }),
  item({
    id: 'crystalloid',
    name: 'Crystalloid bolus',
    group: 'circulation',
    kind: 'fluid',
    drug: 'crystalloid',
    route: 'iv',
    unit: 'mL',
    oneTap: 4,
    search: ['saline', 'fluid'],
  }),
  item({
    id: 'salbutamol-neb',
    name: 'Salbutamol nebulised',
    nameUs: 'Albuterol nebulised',
    group: 'breathing',
    kind: 'drug',
    drug: 'salbutamol',
    route: 'neb',
    unit: 'mg',
    oneTap: 6,
    search: [],
  }),
  item({ id: 'call-help', name: 'Call for help', group: 'team', kind: 'call', oneTap: 5, search: ['crash'] }),
  item({
    id: 'probe',
    name: 'Oximeter probe on',
    group: 'breathing',
    kind: 'device',
    device: 'oximeter',
    oneTap: 7,
    search: [],
  }),
  item({
    id: 'reassess-a-to-e',
    name: 'Reassess A to E',
    group: 'team',
    kind: 'assessment',
    reveals: { letters: ['airway', 'breathing', 'circulation', 'disability', 'exposure'] },
    search: [],
  }),
  item({
    id: 'listen',
    name: 'Listen to the chest',
    group: 'breathing',
    kind: 'assessment',
    reveals: { letters: ['breathing'] },
    search: [],
  }),
];

export const pack: GuidelinePack = {
  id: 'pack',
  title: 'Fixture pack',
  organisation: 'Test fixture',
  edition: '1',
  condition: 'anaphylaxis',
  reviewBy: '2030-01-01',
  doseTolerance: { full: 0.1, partial: 0.2, criticalHigh: 2, criticalLow: 0.5 },
  recognition: [],
  doses: [],
  targets: [
    {
      id: 'repeat',
      says: 'Repeats adrenaline if problems persist',
      interventions: ['adrenaline-im'],
      clock: 'previous-dose',
      clockIntervention: 'adrenaline-im',
      nth: 2,
      notBeforeMs: 240_000,
      dueMs: 300_000,
      limitMs: 480_000,
      critical: true,
      weight: 1,
      timeStatus: 'interval',
      source,
    },
  ],
  source,
};

export const library: Library = { interventions, packs: [pack], hash: 'x' };

export const scenario = {
  id: 's',
  title: 'Fixture',
  handy: ['salbutamol-neb'],
  threads: [
    {
      id: 'illness',
      title: 'Illness',
      start: 'arrival',
      states: [
        {
          id: 'arrival',
          title: 'Just arrived',
          cues: [{ id: 'c1', by: 'teacher', says: 'Her throat feels funny.', afterMs: 1000, kind: 'story' }],
        },
        { id: 'settling', title: 'Settling', cues: [] },
      ],
    },
  ],
} as unknown as Scenario;

export function event(seq: number, body: EventBody, atMs: number, lateMs = 0): RunEvent {
  return {
    seq,
    take: 1,
    appliedAtMs: atMs + lateMs,
    occurredAtMs: atMs,
    wallTime: '2026-01-01T10:00:00Z',
    by: { role: 'lead' },
    ...body,
  };
}

export function line(seq: number, body: EventBody, atMs: number, withdrawnBy: number | null = null): LogLine {
  return { event: event(seq, body, atMs), withdrawnBy };
}

export function given(
  seq: number,
  step: 'said' | 'drawn-up' | 'given',
  atMs: number,
  withdrawnBy: number | null = null,
): LogLine {
  return line(
    seq,
    { kind: 'intervention', intervention: 'adrenaline-im', step, amount: 300, unit: 'micrograms', doseSeen: false },
    atMs,
    withdrawnBy,
  );
}

export const shown: ShownVitals = {
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
};

export const trueVitals: TrueVitals = {
  heartRatePerMin: 148.4,
  pulseRatePerMin: 148,
  respiratoryRatePerMin: 38,
  spo2Percent: 90.6,
  systolicMmHg: 78,
  diastolicMmHg: 40,
  meanMmHg: 53,
  etco2MmHg: 38,
  temperatureCelsius: 36.8,
  glucoseMmolPerL: 6,
  capillaryRefillS: 4,
  perfusionFraction: 0.5,
  consciousnessFraction: 0.9,
  paco2MmHg: 38,
  pao2MmHg: 60,
  arterialPh: 7.35,
  lactateMmolPerL: 2,
  ventilationRatio: 1.2,
  bronchospasmFraction: 0.4,
  upperAirwayFraction: 0.1,
  fio2Fraction: 0.21,
  rhythm: 0,
  arrested: 0,
};

export function view(part: Partial<RunView> = {}): RunView {
  return {
    phase: 'running',
    pausedWhy: null,
    realEmergency: false,
    take: 1,
    clockMs: 60_000,
    threads: [],
    trueVitals,
    overridden: [],
    shown,
    wave: {} as RunView['wave'],
    cuesDue: [],
    findings: [],
    revealed: [],
    doses: [],
    faults: [],
    ...part,
  };
}

export function frame(part: Partial<FacultyFrame> = {}): FacultyFrame {
  return {
    t: 'faculty',
    roleSeq: 1,
    seq: 1,
    restarted: false,
    view: view(),
    log: [],
    derived: [],
    screens: { monitors: 0, faculty: 1 },
    joinCode: 'ABC-123',
    ...part,
  };
}

export function finding(
  id: string,
  letter: Finding['letter'],
  text: string,
  grade: Finding['grade'] = 'moderate',
): Finding {
  return { id, letter, text, observable: true, grade };
}
