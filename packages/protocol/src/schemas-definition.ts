/**
 * Schemas of a built scenario, library and exported run, so that an imported file is known to be whole before anything
 * reads it.
 */
import { DEVICE_FAULTS, OXYGEN_DEVICES, ROUTES } from '@breathline/patient';
import { Type, type TNumber, type TOptional } from '@sinclair/typebox';
import { ConditionSchema } from './schemas-condition.ts';
import { RunEventSchema } from './schemas-events.ts';
import { CueSchema, DerivedSchema, EndingSchema, TrackRowSchema } from './schemas-frames.ts';
import { Device, Distress, LETTERS, Num, Text, Vital, closed, list, oneOf } from './schemas-shared.ts';

const optional = Type.Optional;
const texts = list(Text, 10_000);
const Route = oneOf(ROUTES);
const Posture = oneOf(['sitting', 'supine', 'legs-raised', 'standing', 'recovery-position']);
const OxygenDevice = oneOf(OXYGEN_DEVICES);
const Step = oneOf(['said', 'drawn-up', 'given']);

const baselines = [
  'heartRatePerMin',
  'respiratoryRatePerMin',
  'systolicMmHg',
  'diastolicMmHg',
  'spo2Percent',
  'temperatureCelsius',
  'glucoseMmolPerL',
  'haemoglobinGPerDl',
] as const;

const Baseline = closed(
  Object.fromEntries(baselines.map((id) => [id, optional(Num)])) as {
    [K in (typeof baselines)[number]]: TOptional<TNumber>;
  },
);

const PROFILE = {
  ageYears: Type.Number({ minimum: 0, maximum: 120 }),
  weightKg: Type.Number({ minimum: 0.2, maximum: 500 }),
  sex: oneOf(['female', 'male']),
  heightCm: optional(Num),
  baseline: optional(Baseline),
  illness: optional(
    list(
      closed({
        disease: Text,
        pattern: optional(Text),
        severity: optional(Num),
        tempo: optional(Num),
        returnsAfterMinutes: optional(Num),
      }),
      20,
    ),
  ),
  uncertain: optional(Type.Record(Text, Num)),
};

export const SourceSchema = closed({
  organisation: Text,
  document: Text,
  edition: optional(Text),
  section: optional(Text),
  doi: optional(Text),
  url: optional(Text),
  verified: oneOf(['primary', 'mirror', 'secondary', 'from-memory', 'teaching', 'arithmetic']),
  checkedOn: Text,
  checkedBy: optional(Text),
});

const DoseBandsSchema = list(
  closed({
    fromAgeYears: Num,
    belowAgeYears: optional(Num),
    fromWeightKg: optional(Num),
    belowWeightKg: optional(Num),
    amount: Num,
    amountHigh: optional(Num),
    note: optional(Text),
    source: optional(SourceSchema),
  }),
);

const DOSE_PARTS = {
  bands: optional(DoseBandsSchema),
  perKg: optional(closed({ amount: Num, amountHigh: optional(Num), max: optional(Num) })),
  concentration: optional(Text),
  overMs: optional(Num),
  source: SourceSchema,
};

const DoseRuleSchema = closed({ id: Text, intervention: Text, ...DOSE_PARTS, table: optional(DoseBandsSchema) });

export const InterventionSchema = closed({
  id: Text,
  name: Text,
  nameUs: optional(Text),
  short: optional(Text),
  group: oneOf(['airway', 'breathing', 'circulation', 'disability', 'exposure', 'team']),
  kind: oneOf(['drug', 'fluid', 'oxygen', 'posture', 'procedure', 'assessment', 'device', 'call', 'team', 'test']),
  drug: optional(Text),
  effect: optional(Text),
  route: optional(Route),
  routes: optional(list(Route)),
  sites: optional(texts),
  unit: optional(oneOf(['micrograms', 'mg', 'g', 'mL', 'units'])),
  ratePer: optional(oneOf(['min', 'h'])),
  concentrations: optional(list(closed({ label: Text, amount: Num, perMl: Num }))),
  deviceDoses: optional(list(Num)),
  overMs: optional(Num),
  usual: optional(closed(DOSE_PARTS)),
  hazard: optional(Text),
  oxygen: optional(closed({ device: OxygenDevice, flowLPerMin: optional(Num), fio2Fraction: optional(Num) })),
  posture: optional(Posture),
  procedure: optional(closed({ id: Text, on: Type.Boolean(), amount: optional(Num) })),
  device: optional(Device),
  reveals: optional(
    closed({ letters: optional(list(oneOf(LETTERS))), findings: optional(texts), vitals: optional(list(Vital)) }),
  ),
  steps: optional(list(Step)),
  warnAbove: optional(closed({ perKg: optional(Num), total: optional(Num) })),
  search: texts,
  spoken: optional(Type.Boolean()),
  oneTap: optional(Num),
  source: optional(SourceSchema),
});

export const TargetSchema = closed({
  id: Text,
  says: Text,
  interventions: texts,
  clock: oneOf(['arrival', 'could-have-seen', 'did-see', 'previous-dose', 'shock-visible', 'first-dose']),
  clockIntervention: optional(Text),
  nth: optional(Num),
  dueMs: optional(Num),
  limitMs: optional(Num),
  notBeforeMs: optional(Num),
  onlyIf: optional(ConditionSchema),
  doseRule: optional(Text),
  side: optional(Type.Literal('ill')),
  space: optional(Text),
  mustFollow: optional(Text),
  contraindicated: optional(Type.Boolean()),
  critical: Type.Boolean(),
  weight: Num,
  timeStatus: oneOf(['guideline', 'interval', 'teaching']),
  source: SourceSchema,
});

export const PackSchema = closed({
  id: Text,
  title: Text,
  organisation: Text,
  edition: Text,
  condition: Text,
  reviewBy: Text,
  doseTolerance: closed({ full: Num, partial: Num, criticalHigh: Num, criticalLow: Num }),
  recognition: list(closed({ id: Text, says: Text, when: ConditionSchema, source: SourceSchema })),
  shockVisible: optional(ConditionSchema),
  observation: optional(
    list(
      closed({
        id: Text,
        says: Text,
        hours: Num,
        from: oneOf(['onset', 'last-dose', 'resolution']),
        when: optional(ConditionSchema),
        needs: optional(list(Text, 12)),
        orIf: optional(list(Text, 12)),
        source: SourceSchema,
      }),
      100,
    ),
  ),
  oxygenRange: optional(
    closed({ lowPercent: Num, highPercent: Num, aboveIsDanger: optional(Type.Boolean()), source: SourceSchema }),
  ),
  keyStep: optional(closed({ target: Text, says: Text })),
  doses: list(DoseRuleSchema),
  targets: list(TargetSchema),
  source: SourceSchema,
  forkedFrom: optional(Text),
  forkedHash: optional(Text),
});

export const LibrarySchema = closed({
  interventions: list(InterventionSchema),
  packs: list(PackSchema),
  hash: Text,
});

const StateSchema = closed({
  id: Text,
  title: Text,
  says: optional(Text),
  drives: list(closed({ kind: Type.Literal('drive'), drive: Text, to: Num, overMs: Num })),
  scripted: list(closed({ vital: Vital, to: Num, overMs: Num })),
  findings: list(closed({ id: Text, letter: oneOf(LETTERS), text: Text, observable: Type.Boolean() })),
  cues: list(CueSchema),
  transitions: list(closed({ to: Text, when: ConditionSchema, says: optional(Text) })),
  ending: optional(EndingSchema),
});

const ActionSchema = Type.Union([
  closed({
    kind: Type.Literal('give'),
    intervention: Text,
    amount: Type.Union([Num, Type.Literal('as-pack'), Type.Null()]),
    flowLPerMin: optional(Num),
    route: optional(Route),
    site: optional(Text),
    deviceUse: optional(
      closed({
        heldSeconds: optional(Num),
        monthsPastExpiry: optional(Num),
        fault: optional(oneOf(DEVICE_FAULTS)),
      }),
    ),
  }),
  closed({ kind: Type.Literal('assess'), intervention: Text }),
  closed({ kind: Type.Literal('attach'), device: Device }),
  closed({ kind: Type.Literal('force'), thread: Text, state: Text }),
  closed({ kind: Type.Literal('faculty'), label: Text }),
]);

const ExpectationSchema = Type.Union([
  closed({
    kind: Type.Literal('state'),
    thread: Text,
    state: Text,
    byMs: optional(Num),
    notBeforeMs: optional(Num),
    never: optional(Type.Boolean()),
  }),
  closed({ kind: Type.Literal('vital'), condition: ConditionSchema, atMs: Num }),
  closed({ kind: Type.Literal('target'), target: Text, result: Text }),
]);

export const ScenarioSchema = closed({
  id: Text,
  title: Text,
  learnerTitle: Text,
  summary: Text,
  level: oneOf(['novice', 'intermediate', 'advanced']),
  setting: Text,
  authors: list(closed({ name: Text, role: oneOf(['clinical', 'simulation']) })),
  rationale: optional(Text),
  timeCompression: optional(Text),
  patient: closed({
    ...PROFILE,
    name: Text,
    ageText: Text,
    allergies: texts,
    story: Text,
    skin: Text,
    begunMs: Type.Optional(Type.Number({ minimum: 0, maximum: 21_600_000 })),
  }),
  guidelines: texts,
  objectives: list(
    closed({
      id: Text,
      says: Text,
      seenBy: closed({ target: optional(Text), state: optional(Text), question: optional(Text) }),
    }),
  ),
  prebrief: closed({
    roles: list(closed({ role: Text, says: Text })),
    room: texts,
    real: texts,
    notReal: texts,
    timePlan: optional(Text),
    handover: Text,
  }),
  equipment: texts,
  family: list(
    closed({
      who: Text,
      says: Text,
      history: optional(list(closed({ id: Text, ifAsked: Text, says: Text }), 100)),
      worries: optional(list(closed({ id: Text, says: Text, why: Text }), 100)),
      distress: optional(Distress),
    }),
  ),
  calls: optional(
    list(
      closed({
        id: Text,
        title: Text,
        picksUp: Text,
        answersAfterMs: Num,
        asks: texts,
        does: Text,
        arrivesAfterMs: optional(Num),
      }),
      100,
    ),
  ),
  exhibits: optional(
    list(
      closed({
        id: Text,
        title: Text,
        kind: oneOf(['x-ray', 'ecg', 'photograph', 'document', 'appearance']),
        text: Text,
        picture: optional(Text),
      }),
      100,
    ),
  ),
  behaviours: optional(list(closed({ id: Text, says: Text }), 100)),
  arrest: optional(oneOf(['as-model', 'ask-faculty'])),
  threads: list(closed({ id: Text, title: Text, start: Text, states: list(StateSchema, 1000) }), 50),
  debriefQuestions: texts,
  rehearsals: list(
    closed({
      name: Text,
      forMs: Num,
      acts: list(
        closed({
          atMs: Num,
          action: ActionSchema,
          unless: optional(ConditionSchema),
          onlyIf: optional(ConditionSchema),
        }),
      ),
      expect: list(ExpectationSchema),
    }),
  ),
  handy: texts,
  startPosture: Posture,
});

export const RunDefinitionSchema = closed({
  scenario: ScenarioSchema,
  library: LibrarySchema,
  packId: Text,
  seed: Num,
  patient: optional(Type.Partial(closed(PROFILE), { additionalProperties: false })),
});

export const RunExportSchema = closed({
  format: Type.Literal('breathline-run'),
  formatVersion: Type.Literal(1),
  caution: Text,
  engineVersion: Text,
  runId: Type.String({ minLength: 1, maxLength: 200 }),
  createdAt: Text,
  definition: RunDefinitionSchema,
  scenarioText: optional(Text),
  events: list(RunEventSchema),
  derived: list(DerivedSchema),
  track: list(TrackRowSchema),
  scoredTake: Type.Integer({ minimum: 1, maximum: 1000 }),
});
