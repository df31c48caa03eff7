/** A small invented library and scenarios for tests. Doses here are for arithmetic only; no guideline is meant. */
import type {
  Condition,
  Cue,
  GuidelinePack,
  Intervention,
  Library,
  Scenario,
  Source,
  State,
  Thread,
  Transition,
} from '@breathline/scenario';
import type { EventBody, RunDefinition, RunEvent } from '../src/index.ts';

const SOURCE: Source = {
  organisation: 'none',
  document: 'invented for tests',
  verified: 'arithmetic',
  checkedOn: '2026-11-25',
};

const item = (id: string, rest: Partial<Intervention>): Intervention => ({
  id,
  name: id.replaceAll('-', ' '),
  group: 'circulation',
  kind: 'drug',
  search: [],
  ...rest,
});

export const INTERVENTIONS: readonly Intervention[] = [
  item('adrenaline-im', {
    drug: 'adrenaline',
    effect: 'adrenaline',
    route: 'im',
    routes: ['im'],
    sites: ['thigh'],
    unit: 'micrograms',
    concentrations: [
      { label: '1 mg/mL', amount: 1000, perMl: 1 },
      { label: '100 micrograms/mL', amount: 100, perMl: 1 },
    ],
    warnAbove: { total: 1000 },
  }),
  item('salbutamol-neb', {
    group: 'breathing',
    drug: 'salbutamol',
    effect: 'salbutamol',
    route: 'neb',
    unit: 'mg',
    overMs: 480_000,
  }),
  item('saline', {
    kind: 'fluid',
    drug: 'crystalloid',
    effect: 'crystalloid',
    route: 'iv',
    unit: 'mL',
    overMs: 600_000,
  }),
  item('oxygen', {
    group: 'breathing',
    kind: 'oxygen',
    oxygen: { device: 'non-rebreathe-mask', flowLPerMin: 15 },
  }),
  item('lie-flat', { kind: 'posture', posture: 'legs-raised' }),
  item('bag-mask', { group: 'breathing', kind: 'procedure', procedure: { id: 'breaths-given', on: true, amount: 20 } }),
  item('look-at-breathing', { group: 'breathing', kind: 'assessment', reveals: { letters: ['breathing'] } }),
  item('count-pulse', { kind: 'assessment', reveals: { vitals: ['pulseRatePerMin'] } }),
  item('say-hello', { group: 'team', kind: 'team' }),
];

export const PACK: GuidelinePack = {
  id: 'test-pack',
  title: 'Invented pack for tests',
  organisation: 'none',
  edition: '1',
  condition: 'anaphylaxis',
  reviewBy: '2030-01-01',
  doseTolerance: { full: 0.1, partial: 0.25, criticalHigh: 2, criticalLow: 0.5 },
  recognition: [],
  doses: [
    {
      id: 'adrenaline-im',
      intervention: 'adrenaline-im',
      concentration: '1 mg/mL',
      bands: [
        { fromAgeYears: 0, belowAgeYears: 6, amount: 150 },
        { fromAgeYears: 6, belowAgeYears: 12, amount: 300 },
        { fromAgeYears: 12, amount: 500 },
      ],
      source: SOURCE,
    },
    { id: 'saline', intervention: 'saline', perKg: { amount: 10, max: 500 }, source: SOURCE },
    { id: 'salbutamol-neb', intervention: 'salbutamol-neb', bands: [{ fromAgeYears: 0, amount: 2.5 }], source: SOURCE },
  ],
  targets: [],
  source: SOURCE,
};

export const LIBRARY: Library = { interventions: INTERVENTIONS, packs: [PACK], hash: 'test' };

export const state = (id: string, rest: Partial<State> = {}): State => ({
  id,
  title: id,
  drives: [],
  scripted: [],
  findings: [],
  cues: [],
  transitions: [],
  ...rest,
});

export const go = (to: string, when: Condition): Transition => ({ to, when });
export const after = (ms: number): Condition => ({ kind: 'in-state-for', ms });
export const cue = (id: string, afterMs: number, rest: Partial<Cue> = {}): Cue => ({
  id,
  afterMs,
  by: 'teacher',
  says: `${id} spoken`,
  kind: 'story',
  ...rest,
});

export const thread = (id: string, states: readonly State[]): Thread => ({
  id,
  title: id,
  start: states[0]!.id,
  states,
});

export function scenarioOf(threads: readonly Thread[], rest: Partial<Scenario> = {}): Scenario {
  return {
    id: 'test',
    title: 'Test',
    learnerTitle: 'Test',
    summary: '',
    level: 'novice',
    setting: 'nowhere',
    authors: [],
    patient: {
      ageYears: 7,
      weightKg: 23,
      sex: 'female',
      name: 'Nobody',
      ageText: '7 years',
      allergies: [],
      story: '',
      skin: '',
      illness: [{ disease: 'anaphylaxis', pattern: 'food' }],
    },
    guidelines: [PACK.id],
    objectives: [],
    prebrief: { roles: [], room: [], real: [], notReal: [], handover: '' },
    equipment: [],
    family: [],
    threads,
    debriefQuestions: [],
    rehearsals: [],
    handy: [],
    startPosture: 'supine',
    ...rest,
  };
}

export const definitionOf = (scenario: Scenario, seed = 7): RunDefinition => ({
  scenario,
  library: LIBRARY,
  packId: PACK.id,
  seed,
});

/** A child whose reaction is driven hard and who gets better only with care: for tests of the whole chain. */
export const REACTION: RunDefinition = definitionOf(
  scenarioOf([
    thread('illness', [
      state('arrival', {
        drives: [{ kind: 'drive', drive: 'mediators', to: 0.85, overMs: 180_000 }],
        cues: [cue('throat', 40_000)],
        transitions: [
          go('settling', {
            kind: 'all',
            of: [
              { kind: 'given', interventions: ['adrenaline-im'], times: 1, minDoseShare: 0.5 },
              { kind: 'vital', vital: 'spo2Percent', op: 'at-least', limit: { value: 94 }, forMs: 60_000 },
              {
                kind: 'vital',
                vital: 'systolicMmHg',
                op: 'at-least',
                limit: { relative: 'low-limit-for-age' },
                forMs: 60_000,
              },
            ],
          }),
          go('tiring', {
            kind: 'any',
            of: [
              {
                kind: 'vital',
                vital: 'systolicMmHg',
                op: 'below',
                limit: { relative: 'low-limit-for-age' },
                forMs: 30_000,
              },
              { kind: 'sign', sign: 'fatigue', op: 'at-least', grade: 'marked', forMs: 10_000 },
            ],
          }),
        ],
      }),
      state('tiring', { cues: [cue('sleepy', 20_000)], transitions: [go('settling', after(900_000))] }),
      state('settling', { ending: { outcome: 'better', kind: 'good' } }),
    ]),
    thread('family', [
      state('worried', { transitions: [go('frantic', { kind: 'state', thread: 'illness', state: 'tiring' })] }),
      state('frantic'),
    ]),
  ]),
);

/** Builds a log: bodies with the time they are applied; numbered in the order given. */
export function logOf(entries: readonly (readonly [number, EventBody, number?])[]): RunEvent[] {
  return entries.map(
    ([appliedAtMs, body, occurredAtMs], index) =>
      ({
        seq: index + 1,
        take: 1,
        appliedAtMs,
        occurredAtMs: occurredAtMs ?? appliedAtMs,
        wallTime: '2026-01-01T00:00:00.000Z',
        by: { role: 'lead' },
        ...body,
      }) as RunEvent,
  );
}

export const give = (intervention: string, amount: number | null, unit?: string): EventBody => ({
  kind: 'intervention',
  intervention,
  step: 'given',
  amount,
  doseSeen: true,
  ...(unit === undefined ? {} : { unit }),
});

export const START: EventBody = { kind: 'run-started' };

/** A sensible drill over the reaction, 10 minutes. */
export const TREATED: readonly RunEvent[] = logOf([
  [0, START],
  [5_000, { kind: 'device-attached', device: 'oximeter' }],
  [8_000, { kind: 'device-attached', device: 'ecg' }],
  [10_000, { kind: 'device-attached', device: 'bp-cuff' }],
  [12_000, { kind: 'cuff-interval', everyMs: 120_000 }],
  [20_000, { kind: 'assessment', intervention: 'look-at-breathing' }],
  [45_000, { kind: 'cue-spoken', cue: 'throat' }],
  [90_000, give('adrenaline-im', 300, 'micrograms')],
  [100_000, give('oxygen', null)],
  [130_000, give('salbutamol-neb', 2.5, 'mg')],
  [200_000, { kind: 'device-attached', device: 'capnography' }],
  [390_000, give('adrenaline-im', 300, 'micrograms'), 380_000],
  [420_000, give('saline', 230, 'mL')],
  [600_000, { kind: 'run-ended', why: 'done' }],
]);
