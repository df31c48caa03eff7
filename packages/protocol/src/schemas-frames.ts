/** Schemas of what the server sends: acknowledgements, refusals, and the two projections. */
import { GRADES, LETTERS, SIGNS } from '@breathline/patient';
import { Type } from '@sinclair/typebox';
import { RunEventSchema } from './schemas-events.ts';
import {
  Count,
  Device,
  Num,
  Distress,
  Phase,
  ROLES,
  SpeedFactor,
  Text,
  TrueVitalsSchema,
  Vital,
  closed,
  keyed,
  list,
  nullable,
  oneOf,
} from './schemas-shared.ts';
import {
  AlarmSchema,
  LearnerControlsSchema,
  LiveViewSchema,
  PlayingSchema,
  Rating,
  SoundSchema,
} from './schemas-live.ts';
import { ConditionSchema } from './schemas-condition.ts';

const optional = Type.Optional;

export const ShownVitalsSchema = closed({
  spo2Percent: nullable(Num),
  pulsePerMin: nullable(Num),
  heartRatePerMin: nullable(Num),
  respiratoryRatePerMin: nullable(Num),
  etco2MmHg: nullable(Num),
  temperatureCelsius: nullable(Num),
  glucoseMmolPerL: nullable(Num),
  bloodPressure: nullable(
    closed({
      systolicMmHg: nullable(Num),
      diastolicMmHg: nullable(Num),
      meanMmHg: nullable(Num),
      takenAtMs: Num,
      failed: optional(Text),
    }),
  ),
  cuff: closed({ inflating: Type.Boolean(), everyMs: nullable(Num), nextAtMs: nullable(Num) }),
  attached: list(Device, 10),
  plethFraction: Num,
  oximeterMessage: nullable(Text),
  faulty: optional(list(Device, 10)),
});

export const WaveformDriveSchema = closed({
  seed: Num,
  rhythm: nullable(Text),
  ecgRatePerMin: nullable(Num),
  pulsed: nullable(Type.Boolean()),
  plethFraction: nullable(Num),
  breathRatePerMin: nullable(Num),
  breathDepthFraction: nullable(Num),
  bronchospasmFraction: nullable(Num),
  etco2MmHg: nullable(Num),
  beatCount: Type.Optional(nullable(Num)),
  breathCount: Type.Optional(nullable(Num)),
  motionFraction: Type.Optional(nullable(Num)),
});

export const FindingSchema = closed({
  id: Text,
  letter: oneOf(LETTERS),
  text: Text,
  observable: Type.Boolean(),
  grade: oneOf(GRADES),
});

export const CueSchema = closed({
  id: Text,
  afterMs: Num,
  by: Text,
  says: Text,
  kind: oneOf(['conceptual', 'reality', 'story']),
  prompts: optional(list(Text, 40)),
  promptsForMs: optional(Num),
  onlyIf: optional(ConditionSchema),
});

export const EndingSchema = closed({ outcome: Text, kind: oneOf(['good', 'mixed', 'poor']) });

export const BloodGasSchema = closed({
  site: oneOf(['arterial', 'venous', 'capillary']),
  pH: Num,
  pco2MmHg: Num,
  pco2KPa: Num,
  po2MmHg: Num,
  po2KPa: Num,
  bicarbonateMmolPerL: Num,
  baseExcessMmolPerL: Num,
  lactateMmolPerL: Num,
  glucoseMmolPerL: Num,
  haemoglobinGPerDl: Num,
  saturationPercent: Num,
});

export const RunViewSchema = closed({
  phase: Phase,
  pausedWhy: nullable(Text),
  realEmergency: Type.Boolean(),
  take: Num,
  clockMs: Num,
  threads: list(
    closed({
      id: Text,
      title: Text,
      state: Text,
      stateTitle: Text,
      says: nullable(Text),
      sinceMs: Num,
      next: list(closed({ to: Text, title: Text, because: Text, closeness: Num })),
      ending: Type.Union([EndingSchema, Type.Null(), Type.Undefined()]),
    }),
  ),
  trueVitals: TrueVitalsSchema,
  overridden: list(Vital),
  shown: ShownVitalsSchema,
  wave: WaveformDriveSchema,
  cuesDue: list(closed({ cue: CueSchema, dueAtMs: Num, spokenAtMs: nullable(Num), thread: Text })),
  findings: list(FindingSchema),
  revealed: list(closed({ finding: FindingSchema, atMs: Num, seq: Num })),
  doses: list(closed({ seq: Num, intervention: Text, atMs: Num, amount: nullable(Num) })),
  faults: list(Text),
  results: optional(
    list(
      closed({
        seq: Num,
        test: Text,
        name: Text,
        sampledAtMs: Num,
        dueAtMs: Num,
        text: nullable(Text),
        values: nullable(BloodGasSchema),
      }),
    ),
  ),
  live: optional(LiveViewSchema),
  scores: optional(
    list(
      closed({
        id: Text,
        title: Text,
        total: nullable(Num),
        outOf: nullable(Num),
        band: nullable(Text),
        words: Text,
      }),
    ),
  ),
});

/** Left out in the first take. */
const InTake = optional(Num);

export const DerivedSchema = Type.Union([
  closed({
    kind: Type.Literal('state-entered'),
    atMs: Num,
    thread: Text,
    state: Text,
    from: nullable(Text),
    because: Text,
    forced: Type.Boolean(),
    take: InTake,
  }),
  closed({ kind: Type.Literal('cue-due'), atMs: Num, cue: Text, thread: Text, state: Text, take: InTake }),
  closed({ kind: Type.Literal('cue-lapsed'), atMs: Num, cue: Text, take: InTake }),
  closed({
    kind: Type.Literal('reading'),
    atMs: Num,
    device: Device,
    value: nullable(Num),
    systolicMmHg: optional(Num),
    diastolicMmHg: optional(Num),
    meanMmHg: optional(Num),
    failed: optional(Text),
    trueValue: optional(Num),
    sampledAtMs: optional(Num),
    take: InTake,
  }),
  closed({
    kind: Type.Literal('result'),
    atMs: Num,
    seq: Num,
    test: Text,
    sampledAtMs: Num,
    values: BloodGasSchema,
    true: BloodGasSchema,
    text: Text,
    overridden: list(Vital),
    take: InTake,
  }),
  closed({ kind: Type.Literal('arrest'), atMs: Num, on: Type.Boolean(), take: InTake }),
  closed({ kind: Type.Literal('arrest-asked'), atMs: Num, take: InTake }),
  closed({ kind: Type.Literal('errand-came'), atMs: Num, seq: Num, what: Text, take: InTake }),
  closed({ kind: Type.Literal('take-began'), atMs: Num, take: Num, fromTake: Num }),
  closed({ kind: Type.Literal('fault'), atMs: Num, message: Text, take: InTake }),
]);

const SideSchema = closed({ airEntry: Num, wheeze: Num, crackles: Num });
/** What a stethoscope hears, 0 to 1 each. */
export const ChestSchema = closed({ left: SideSchema, right: SideSchema, stridor: Num });

export const ClockAnchorSchema = closed({ serverMs: Num, runMs: Num, rate: Num });

export const HelloSchema = closed({
  t: Type.Literal('hello'),
  protocol: Num,
  role: oneOf(ROLES),
  screenId: Text,
  again: Text,
});

export const AckSchema = closed({
  t: Type.Literal('ack'),
  n: Count,
  seq: Num,
  warnings: list(closed({ code: Text, message: Text })),
});

export const RefusedSchema = closed({
  t: Type.Literal('refused'),
  n: nullable(Num),
  code: Text,
  message: Text,
  hint: optional(Text),
});

export const LogLineSchema = closed({ event: RunEventSchema, withdrawnBy: nullable(Num) });

export const FacultyFrameSchema = closed({
  t: Type.Literal('faculty'),
  roleSeq: Count,
  seq: Num,
  restarted: Type.Boolean(),
  view: RunViewSchema,
  log: list(LogLineSchema),
  derived: list(DerivedSchema),
  screens: closed({ monitors: Num, faculty: Num, crew: optional(Num) }),
  joinCode: Text,
  /** For observers, loggers and embedded participants; never on a learner's screen. */
  crewCode: optional(Text),
  awayMs: optional(Num),
  anchor: optional(ClockAnchorSchema),
});

export const MonitorFrameSchema = closed({
  t: Type.Literal('monitor'),
  roleSeq: Count,
  phase: Phase,
  restarted: Type.Boolean(),
  notAllRight: optional(Type.Literal(true)),
  blank: Type.Boolean(),
  clockMs: Num,
  title: Text,
  shown: ShownVitalsSchema,
  wave: WaveformDriveSchema,
  ageYears: Num,
  speed: optional(SpeedFactor),
  sound: optional(SoundSchema),
  inSitu: optional(Type.Boolean()),
  playing: optional(PlayingSchema),
  alarm: optional(
    closed({
      ...AlarmSchema.properties,
      standing: optional(list(closed({ id: Text, atMs: Num, active: Type.Boolean() }), 60)),
    }),
  ),
  may: optional(LearnerControlsSchema),
  exhibits: optional(
    list(
      closed({
        id: Text,
        title: Text,
        kind: oneOf(['gas', 'x-ray', 'ecg', 'photograph', 'document', 'appearance']),
        text: Text,
        picture: optional(Text),
        sinceMs: Num,
      }),
      100,
    ),
  ),
  chest: optional(nullable(ChestSchema)),
  anchor: optional(ClockAnchorSchema),
});

export const CrewFrameSchema = closed({
  t: Type.Literal('crew'),
  roleSeq: Count,
  role: oneOf(['observer', 'participant']),
  seat: Text,
  phase: Phase,
  restarted: Type.Boolean(),
  notAllRight: optional(Type.Literal(true)),
  blank: Type.Boolean(),
  clockMs: Num,
  take: Num,
  title: Text,
  behaviours: list(
    closed({
      id: Text,
      says: Text,
      seen: nullable(oneOf(['seen', 'partly', 'not-seen'])),
      rating: optional(Rating),
    }),
  ),
  comments: list(closed({ seq: Num, text: Text, about: nullable(Text), atMs: Num })),
  prompts: list(closed({ cue: Text, by: Text, says: Text, dueAtMs: Num, spokenAtMs: nullable(Num) })),
  lines: list(closed({ letter: oneOf(LETTERS), text: Text })),
  family: nullable(
    closed({
      distress: Distress,
      with: nullable(Text),
      members: list(
        closed({
          who: Text,
          says: Text,
          history: list(closed({ id: Text, ifAsked: Text, says: Text, toldAtMs: nullable(Num) })),
          worries: list(closed({ id: Text, says: Text, why: Text, step: nullable(Text) })),
        }),
      ),
    }),
  ),
  happenings: list(closed({ seq: Num, what: Text, text: Text, atMs: Num })),
  anchor: optional(ClockAnchorSchema),
});

export const PongSchema = closed({ t: Type.Literal('pong'), n: Num, serverMs: optional(Num) });

export const TrackRowSchema = closed({
  atMs: Num,
  take: optional(Num),
  true: TrueVitalsSchema,
  shown: ShownVitalsSchema,
  states: Type.Record(Text, Text),
  signs: keyed(SIGNS, Num),
});
