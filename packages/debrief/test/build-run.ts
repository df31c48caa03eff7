/**
 * Hand-made runs for tests: everything is written down here, nothing comes from the engine. Invented people and
 * places; the sources are marked as test data unless a test names its own.
 */
import type { SignId, TrueVitals } from '@breathline/patient';
import type { Derived, EventBody, RunEvent, RunExport, ShownVitals, TrackRow } from '@breathline/engine';
import type { Condition, DoseRule, GuidelinePack, Intervention, Scenario, Source, Target } from '@breathline/scenario';

export const CHECKED: Source = {
  organisation: 'Test data',
  document: 'Invented for tests',
  verified: 'teaching',
  checkedOn: '2026-01-01',
  checkedBy: 'A. Tester',
};
export const UNCHECKED: Source = { ...CHECKED, checkedBy: undefined };

export const s = (seconds: number): number => seconds * 1000;

const WELL: TrueVitals = {
  heartRatePerMin: 90,
  pulseRatePerMin: 90,
  respiratoryRatePerMin: 20,
  spo2Percent: 98,
  systolicMmHg: 104,
  diastolicMmHg: 60,
  meanMmHg: 75,
  etco2MmHg: 38,
  temperatureCelsius: 36.8,
  glucoseMmolPerL: 5,
  capillaryRefillS: 1.5,
  perfusionFraction: 1,
  consciousnessFraction: 1,
  paco2MmHg: 40,
  pao2MmHg: 95,
  arterialPh: 7.4,
  lactateMmolPerL: 1,
  ventilationRatio: 1,
  bronchospasmFraction: 0,
  upperAirwayFraction: 0,
  fio2Fraction: 0.21,
  rhythm: 0,
  arrested: 0,
};

const SIGNS: Record<SignId, number> = {
  'work-of-breathing': 0,
  wheeze: 0,
  stridor: 0,
  fatigue: 0,
  'silent-chest': 0,
  rash: 0,
  swelling: 0,
  gut: 0,
  agitation: 0,
  drowsiness: 0,
  cyanosis: 0,
  'poor-perfusion': 0,
  'cannot-talk': 0,
  apnoea: 0,
  arrest: 0,
};

export const DARK: ShownVitals = {
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

export interface Second {
  readonly vitals?: Partial<TrueVitals>;
  readonly signs?: Partial<Record<SignId, number>>;
  readonly shown?: Partial<ShownVitals>;
  readonly states?: Record<string, string>;
}

export function track(toMs: number, at: (atMs: number) => Second = () => ({})): TrackRow[] {
  const rows: TrackRow[] = [];
  for (let atMs = 0; atMs <= toMs; atMs += 1000) {
    const second = at(atMs);
    rows.push({
      atMs,
      true: { ...WELL, ...second.vitals },
      shown: { ...DARK, ...second.shown },
      states: second.states ?? { illness: 'reacting' },
      signs: { ...SIGNS, ...second.signs },
    });
  }
  return rows;
}

export const INTERVENTIONS: readonly Intervention[] = [
  {
    id: 'adrenaline-im',
    name: 'Adrenaline IM',
    group: 'circulation',
    kind: 'drug',
    drug: 'adrenaline',
    route: 'im',
    routes: ['im', 'subcutaneous'],
    sites: ['outer mid-thigh', 'upper arm', 'buttock'],
    unit: 'micrograms',
    concentrations: [
      { label: '1 mg/mL', amount: 1000, perMl: 1 },
      { label: '0.1 mg/mL', amount: 100, perMl: 1 },
    ],
    steps: ['said', 'drawn-up', 'given'],
    search: [],
  },
  {
    id: 'adrenaline-iv',
    name: 'Adrenaline IV bolus',
    group: 'circulation',
    kind: 'drug',
    drug: 'adrenaline',
    route: 'iv',
    routes: ['iv', 'io'],
    unit: 'micrograms',
    search: [],
  },
  {
    id: 'chlorphenamine-iv',
    name: 'Chlorphenamine IV',
    group: 'exposure',
    kind: 'drug',
    drug: 'chlorphenamine',
    route: 'iv',
    routes: ['iv'],
    unit: 'mg',
    search: [],
  },
  {
    id: 'salbutamol-neb',
    name: 'Salbutamol nebulised',
    group: 'breathing',
    kind: 'drug',
    drug: 'salbutamol',
    route: 'neb',
    routes: ['neb'],
    unit: 'mg',
    search: [],
  },
  {
    id: 'oxygen-nrb',
    name: 'Oxygen by non-rebreathe mask',
    group: 'breathing',
    kind: 'oxygen',
    oxygen: { device: 'non-rebreathe-mask', flowLPerMin: 15 },
    search: [],
  },
  {
    id: 'fluid-bolus',
    name: 'Crystalloid bolus',
    group: 'circulation',
    kind: 'fluid',
    drug: 'crystalloid',
    route: 'iv',
    routes: ['iv', 'io'],
    unit: 'mL',
    search: [],
  },
  { id: 'call-help', name: 'Call for help', group: 'team', kind: 'call', search: [] },
  { id: 'stand-up', name: 'Stood up', group: 'circulation', kind: 'posture', posture: 'standing', search: [] },
  {
    id: 'look-breathing',
    name: 'Look at breathing',
    group: 'breathing',
    kind: 'assessment',
    reveals: { letters: ['breathing'] },
    search: [],
  },
  {
    id: 'look-again',
    name: 'Looked again, A to E',
    group: 'team',
    kind: 'assessment',
    reveals: { letters: ['airway', 'breathing', 'circulation', 'disability', 'exposure'] },
    search: [],
  },
  { id: 'oximeter', name: 'Oximeter probe on', group: 'breathing', kind: 'device', device: 'oximeter', search: [] },
];

export const LOW_PRESSURE: Condition = {
  kind: 'vital',
  vital: 'systolicMmHg',
  op: 'below',
  limit: { relative: 'low-limit-for-age' },
  forMs: 0,
};
export const LOW_SPO2: Condition = { kind: 'vital', vital: 'spo2Percent', op: 'below', limit: { value: 94 }, forMs: 0 };
export const WHEEZE: Extract<Condition, { kind: 'sign' }> = {
  kind: 'sign',
  sign: 'wheeze',
  op: 'at-least',
  grade: 'moderate',
  forMs: 0,
};

/** 300 micrograms from the 6th birthday, 150 below: test data in the shape of an age-band rule. */
export const BAND_RULE: DoseRule = {
  id: 'adrenaline-im-dose',
  intervention: 'adrenaline-im',
  bands: [
    { fromAgeYears: 0, belowAgeYears: 6, amount: 150 },
    { fromAgeYears: 6, belowAgeYears: 12, amount: 300 },
    { fromAgeYears: 12, amount: 500 },
  ],
  concentration: '1 mg/mL',
  source: CHECKED,
};

export const TOLERANCE = { full: 0.1, partial: 0.2, criticalHigh: 2, criticalLow: 0.5 };

export function target(part: Partial<Target> & Pick<Target, 'id'>): Target {
  return {
    says: part.id.replaceAll('-', ' '),
    interventions: [part.id],
    clock: 'could-have-seen',
    critical: false,
    weight: 1,
    timeStatus: 'teaching',
    source: CHECKED,
    ...part,
  };
}

export const FIRST_ADRENALINE = target({
  id: 'first-adrenaline',
  says: 'First adrenaline into the muscle',
  interventions: ['adrenaline-im'],
  dueMs: s(120),
  limitMs: s(300),
  doseRule: 'adrenaline-im-dose',
  critical: true,
  weight: 4,
});

export const SECOND_ADRENALINE = target({
  id: 'second-adrenaline',
  says: 'Second adrenaline if problems persist',
  interventions: ['adrenaline-im'],
  clock: 'previous-dose',
  nth: 2,
  dueMs: s(300),
  limitMs: s(600),
  notBeforeMs: s(240),
  onlyIf: { kind: 'any', of: [LOW_PRESSURE, WHEEZE] },
  critical: true,
  weight: 3,
});

export const ORDER = target({
  id: 'adrenaline-before-antihistamine',
  interventions: ['chlorphenamine-iv'],
  mustFollow: 'adrenaline-im',
  critical: true,
});

export function pack(part: Partial<GuidelinePack> = {}): GuidelinePack {
  return {
    id: 'test-pack',
    title: 'Test pack',
    organisation: 'Test data',
    edition: '1',
    condition: 'anaphylaxis',
    reviewBy: '2030-01-01',
    doseTolerance: TOLERANCE,
    recognition: [
      { id: 'wheeze', says: 'Moderate wheeze', when: WHEEZE, source: CHECKED },
      { id: 'low-saturation', says: 'Saturation below 94 %', when: LOW_SPO2, source: CHECKED },
    ],
    shockVisible: LOW_PRESSURE,
    oxygenRange: { lowPercent: 94, highPercent: 98, source: CHECKED },
    doses: [BAND_RULE],
    targets: [FIRST_ADRENALINE],
    source: CHECKED,
    ...part,
  };
}

export const SCENARIO: Scenario = {
  id: 'invented-picnic',
  title: 'Food reaction at an invented picnic',
  learnerTitle: 'Child unwell at a picnic',
  summary: 'Invented for tests.',
  level: 'novice',
  setting: 'field',
  authors: [],
  patient: {
    ageYears: 7,
    weightKg: 23,
    sex: 'female',
    name: 'Invented Child',
    ageText: '7 years',
    allergies: ['sesame'],
    story: '',
    skin: '',
  },
  guidelines: ['test-pack'],
  objectives: [],
  prebrief: { roles: [], room: [], real: [], notReal: [], handover: '' },
  equipment: [],
  family: [],
  threads: [
    {
      id: 'illness',
      title: 'Illness',
      start: 'reacting',
      states: [
        {
          id: 'reacting',
          title: 'Reacting',
          drives: [],
          scripted: [],
          findings: [],
          cues: [
            {
              id: 'hint',
              afterMs: 0,
              by: 'nurse',
              says: 'Should we give something?',
              kind: 'conceptual',
              prompts: ['adrenaline-im'],
            },
            {
              id: 'slow-hint',
              afterMs: 0,
              by: 'nurse',
              says: 'The cupboard is along the corridor.',
              kind: 'conceptual',
              prompts: ['adrenaline-im'],
              promptsForMs: 180_000,
            },
            { id: 'vague', afterMs: 0, by: 'nurse', says: 'Hm.', kind: 'conceptual' },
            { id: 'story', afterMs: 0, by: 'parent', says: 'She ate a biscuit.', kind: 'story' },
          ],
          transitions: [],
        },
      ],
    },
  ],
  debriefQuestions: [],
  rehearsals: [],
  handy: [],
  startPosture: 'sitting',
};

/** An event body with its time in the room; `seq` is given by order. */
export type Line = EventBody & { readonly at: number; readonly take?: number };

export const give = (
  at: number,
  intervention: string,
  part: Partial<Extract<EventBody, { kind: 'intervention' }>> = {},
): Line => ({
  at,
  kind: 'intervention',
  intervention,
  step: 'given',
  amount: null,
  doseSeen: true,
  ...part,
});

export const adrenaline = (at: number, part: Partial<Extract<EventBody, { kind: 'intervention' }>> = {}): Line =>
  give(at, 'adrenaline-im', { amount: 300, unit: 'micrograms', concentration: '1 mg/mL', volumeMl: 0.3, ...part });

export const end = (at: number): Line => ({ at, kind: 'run-ended', why: 'test' });
export const answer = (targetId: string, says: 'done' | 'not-done' | 'unsure', atMs?: number): Line => ({
  at: 1e9,
  kind: 'reconciled',
  target: targetId,
  answer: says,
  atMs: atMs ?? null,
});

export function events(lines: readonly Line[]): RunEvent[] {
  const started: Line = { at: 0, kind: 'run-started' };
  return [started, ...lines].map((line, index) => {
    const { at, take, ...body } = line;
    return {
      ...body,
      seq: index + 1,
      take: take ?? 1,
      appliedAtMs: at,
      occurredAtMs: at,
      wallTime: '2026-01-01T00:00:00.000Z',
      by: { role: 'lead' },
    } as RunEvent;
  });
}

export interface Plan {
  readonly lines?: readonly Line[];
  readonly pack?: GuidelinePack;
  readonly at?: (atMs: number) => Second;
  readonly toMs?: number;
  readonly scenario?: Partial<Scenario>;
  readonly derived?: readonly Derived[];
}

/** Wheeze from 60 s unless told otherwise; the run is 20 minutes long unless a line ends it. */
export function build(plan: Plan = {}): RunExport {
  const lines = plan.lines ?? [];
  const endLine = lines.find((line) => line.kind === 'run-ended');
  const toMs = plan.toMs ?? endLine?.at ?? s(1200);
  const withEnd = endLine || plan.toMs !== undefined ? lines : [...lines, end(toMs)];
  return {
    format: 'breathline-run',
    formatVersion: 1,
    caution: 'SIMULATION – NOT FOR CLINICAL USE',
    engineVersion: 'test',
    runId: 'run-1',
    createdAt: '2026-01-01T00:00:00.000Z',
    definition: {
      scenario: { ...SCENARIO, ...plan.scenario },
      library: { interventions: INTERVENTIONS, packs: [plan.pack ?? pack()], hash: 'test' },
      packId: (plan.pack ?? pack()).id,
      seed: 1,
    },
    events: events(withEnd),
    derived: plan.derived ?? [],
    track: track(toMs, plan.at ?? ((atMs) => (atMs >= s(60) ? { signs: { wheeze: 2 } } : {}))),
    scoredTake: 1,
  };
}
