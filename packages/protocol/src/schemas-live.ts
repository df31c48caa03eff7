/** Schemas of what happens around the patient in a live run: the events' own fields, and the view that follows from them. */
import { Type, type TSchema } from '@sinclair/typebox';
import { GRADES } from '@breathline/patient';
import {
  Amount,
  Device,
  Distress,
  FreeText,
  Id,
  LETTERS,
  Label,
  Ms,
  Num,
  Seq,
  SpeedFactor,
  Text,
  Vital,
  closed,
  list,
  nullable,
  oneOf,
} from './schemas-shared.ts';

const optional = Type.Optional;

const HandoverPartsSchema = closed({
  situation: Type.Boolean(),
  background: Type.Boolean(),
  assessment: Type.Boolean(),
  recommendation: Type.Boolean(),
});
/** As a finding of the view, each text bounded. */
const SaidFinding = closed({
  id: Id,
  letter: oneOf(LETTERS),
  text: FreeText,
  observable: Type.Boolean(),
  grade: oneOf(GRADES),
});
const ReadBack = oneOf(['full', 'part', 'none']);
const Problem = oneOf(['kit', 'drug', 'layout', 'phone', 'staffing', 'guideline', 'other']);
const Direction = oneOf(['better', 'hold', 'worse']);
const Pace = oneOf(['slow', 'fast']);
const Seen = oneOf(['seen', 'partly', 'not-seen']);
export const Rating = Type.Union([Type.Literal(1), Type.Literal(2), Type.Literal(3), Type.Literal(4), Type.Literal(5)]);
const WorryStep = oneOf(['voiced', 'heeded', 'dismissed']);
const Errand = oneOf(['call', 'kit']);
const Answer = oneOf(['given', 'refused']);
const Asker = oneOf(['learners', 'family']);
const LEARNER_CONTROLS = { cuff: Type.Boolean(), silence: Type.Boolean(), probes: Type.Boolean() };
const Volume = Type.Number({ minimum: 0, maximum: 100 });

/** Fields of each kind of live event, beside `kind`. */
export const LIVE_EVENT_FIELDS = {
  'course-steered': { direction: Direction, pace: Pace },
  'course-released': {},
  'other-action': {
    text: FreeText,
    letter: optional(oneOf(LETTERS)),
    effect: oneOf(['none', 'helps', 'harms']),
    givenBy: optional(Label),
  },
  'wound-back': { toMs: Ms, fromTake: Seq, why: optional(FreeText), leftAtMs: optional(Ms) },
  'speed-changed': { factor: SpeedFactor },
  'behaviour-ticked': { behaviour: Id, seen: Seen, rating: optional(Rating) },
  comment: {
    text: FreeText,
    about: optional(oneOf(['good', 'change', 'question'])),
    aboutSeq: optional(Seq),
  },
  'request-made': { from: Asker, what: FreeText },
  'request-met': { targetSeq: Seq, answer: Answer },
  'family-distress': { level: Distress },
  'family-history-told': { item: Id },
  'family-worry': { item: Id, step: WorryStep },
  'family-with': { who: nullable(Label) },
  'errand-sent': { errand: Errand, what: Label, delayMs: Ms, sentBy: optional(Label) },
  'errand-ended': { targetSeq: Seq, how: oneOf(['came', 'failed']) },
  'system-problem': { category: Problem, text: optional(FreeText), photo: optional(Id) },
  'seat-changed': {
    seat: Label,
    teamRole: Label,
    change: oneOf(['joined', 'left', 'swapped']),
    withSeat: optional(Label),
  },
  handover: { to: Label, parts: HandoverPartsSchema, readBack: ReadBack, text: optional(FreeText) },
  'sound-changed': { volumePercent: Volume, pulseTone: Type.Boolean(), alarms: Type.Boolean() },
  'sound-played': { sound: Id },
  'alarm-paused': { forMs: Type.Integer({ minimum: 0, maximum: 600_000 }) },
  'alarm-limit': { vital: Vital, low: nullable(Amount), high: nullable(Amount) },
  'learner-controls': LEARNER_CONTROLS,
  'exhibit-shown': { exhibit: Id },
  'exhibit-hidden': { exhibit: Id },
  listening: { on: Type.Boolean() },
  happening: {
    what: oneOf(['phone', 'family-question', 'kit-failure', 'other']),
    text: optional(FreeText),
    device: optional(Device),
  },
  'arrest-decided': { allow: Type.Boolean() },
  'findings-said': { said: list(SaidFinding, 100), unasked: list(oneOf(LETTERS), LETTERS.length) },
  'conclusion-spoken': { says: oneOf(['better', 'same', 'worse']), next: optional(FreeText) },
  'observation-chosen': {
    hours: Type.Number({ minimum: 0, maximum: 168 }),
    from: oneOf(['onset', 'last-dose', 'resolution']),
  },
  'line-adjusted': { target: Id, result: Id, reason: FreeText, ofTake: optional(Seq) },
  'circumstance-told': {
    circumstance: Label,
    answer: oneOf(['yes', 'no', 'not-known']),
    ofTake: optional(Seq),
  },
  'objective-judged': { objective: Id, answer: oneOf(['met', 'partly', 'not-met']) },
  'debrief-note': {
    column: oneOf(['reaction', 'moment', 'plus', 'delta', 'take-home']),
    text: FreeText,
    aboutMs: optional(Ms),
  },
  'debrief-phase': {
    phase: Id,
    structure: optional(Id),
    minutes: optional(Type.Number({ minimum: 1, maximum: 240 })),
  },
} as const satisfies Record<string, Record<string, TSchema>>;

export const LearnerControlsSchema = closed(LEARNER_CONTROLS);
export const SoundSchema = closed({ volumePercent: Num, pulseTone: Type.Boolean(), alarms: Type.Boolean() });
export const PlayingSchema = list(closed({ seq: Num, sound: Text, atMs: Num }), 100);
export const AlarmSchema = closed({
  pausedUntilMs: nullable(Num),
  limits: list(closed({ vital: Vital, low: nullable(Num), high: nullable(Num) }), 100),
});

export const LiveViewSchema = closed({
  speed: SpeedFactor,
  course: nullable(closed({ direction: Direction, pace: Pace, sinceMs: Num })),
  takes: list(closed({ take: Num, fromTake: nullable(Num), fromMs: Num, toMs: Num })),
  requests: list(
    closed({
      seq: Num,
      from: Asker,
      what: Text,
      atMs: Num,
      metAtMs: nullable(Num),
      answer: nullable(Answer),
    }),
  ),
  errands: list(
    closed({
      seq: Num,
      errand: Errand,
      what: Text,
      sentAtMs: Num,
      dueAtMs: Num,
      endedAtMs: nullable(Num),
      state: oneOf(['under-way', 'came', 'failed']),
    }),
  ),
  family: closed({
    distress: Distress,
    told: list(closed({ item: Text, atMs: Num })),
    worries: list(closed({ item: Text, step: WorryStep, atMs: Num })),
    with: nullable(Text),
  }),
  seats: list(closed({ seat: Text, teamRole: Text, sinceMs: Num })),
  behaviours: list(
    closed({ behaviour: Text, ticks: list(closed({ seat: Text, seen: Seen, rating: optional(Rating), atMs: Num })) }),
  ),
  sound: SoundSchema,
  playing: PlayingSchema,
  alarm: AlarmSchema,
  learnersMay: LearnerControlsSchema,
  exhibits: list(closed({ exhibit: Text, sinceMs: Num })),
  listening: Type.Boolean(),
  happenings: list(closed({ seq: Num, what: Text, text: Text, atMs: Num })),
  systemProblems: list(closed({ seq: Num, category: Problem, text: Text, atMs: Num })),
  handover: nullable(closed({ seq: Num, to: Text, parts: HandoverPartsSchema, readBack: ReadBack, atMs: Num })),
  arrest: oneOf(['not-asked', 'asked', 'allowed', 'refused']),
});
