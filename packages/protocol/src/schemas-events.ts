/** Schemas of what people may ask for and what the log holds. */
import { Type, type TLiteral, type TObject, type TProperties, type TSchema } from '@sinclair/typebox';
import { DEVICE_FAULTS } from '@breathline/patient';
import {
  Amount,
  Count,
  Device,
  FreeText,
  Id,
  Label,
  Ms,
  Seq,
  Vital,
  closed,
  nullable,
  oneOf,
} from './schemas-shared.ts';
import { LONGEST_HELD_MS } from './clock.ts';
import { LIVE_EVENT_FIELDS } from './schemas-live.ts';

const optional = Type.Optional;

/** One schema for each kind of event body, by kind, so that a refusal can name the very field. */
export const EVENT_FIELDS = {
  'run-started': {},
  'run-paused': { why: oneOf(['faculty', 'discuss', 'server-restart', 'someone-not-all-right', 'real-emergency']) },
  'run-resumed': { gapMs: optional(Type.Integer({ minimum: 0, maximum: 3_600_000 })) },
  'run-ended': { why: Label },
  'real-emergency-stop': {},
  'real-emergency-cleared': {},
  intervention: {
    intervention: Id,
    step: oneOf(['said', 'drawn-up', 'given']),
    amount: nullable(Amount),
    unit: optional(Type.String({ maxLength: 30 })),
    concentration: optional(Label),
    volumeMl: optional(nullable(Amount)),
    route: optional(Type.String({ maxLength: 40 })),
    site: optional(Label),
    flowLPerMin: optional(nullable(Type.Number({ minimum: 0, maximum: 1000 }))),
    doseSeen: Type.Boolean(),
    givenBy: optional(Label),
    weightUsedKg: optional(nullable(Type.Number({ minimum: 0, maximum: 1000 }))),
    deviceUse: optional(
      closed({
        heldSeconds: optional(Type.Number({ minimum: 0, maximum: 600 })),
        monthsPastExpiry: optional(Type.Number({ minimum: 0, maximum: 600 })),
        fault: optional(oneOf(DEVICE_FAULTS)),
      }),
    ),
    note: optional(FreeText),
  },
  'intervention-stopped': { intervention: Id },
  assessment: { intervention: Id, note: optional(FreeText), doneBy: optional(Label) },
  'device-attached': { device: Device },
  'device-removed': { device: Device },
  'cuff-pressed': {},
  'cuff-interval': { everyMs: nullable(Type.Integer({ minimum: 10_000, maximum: 3_600_000 })) },
  'cue-spoken': { cue: Id },
  'state-forced': { thread: Id, state: Id },
  'faculty-flag': { label: Id },
  'vital-overridden': { vital: Vital, to: Amount, overMs: Ms },
  'vital-released': { vital: Vital, overMs: Ms },
  note: { text: FreeText, textId: optional(Id) },
  mark: { label: optional(Label) },
  'mark-named': { targetSeq: Seq, label: Label },
  'act-amended': { targetSeq: Seq, doneBy: optional(nullable(Label)), doseSeen: optional(Type.Boolean()) },
  reconciled: {
    target: Id,
    answer: oneOf(['done', 'not-done', 'unsure']),
    atMs: optional(nullable(Ms)),
    ofTake: optional(Seq),
  },
  'prebrief-item': { item: Label, done: Type.Boolean() },
  'event-withdrawn': { targetSeq: Seq, why: optional(FreeText) },
  ...LIVE_EVENT_FIELDS,
} as const satisfies Record<string, Record<string, TSchema>>;

type Fields = typeof EVENT_FIELDS;
type Kind = keyof Fields;
/** The object of one kind's own fields with `kind` and whatever else every such object has. */
type WithKind<K extends Kind, Extra extends TProperties> = Fields[K] extends infer P extends TProperties
  ? TObject<Extra & { kind: TLiteral<K> } & P>
  : never;

const EVENT_BASE = {
  seq: Seq,
  take: Seq,
  appliedAtMs: Ms,
  occurredAtMs: Ms,
  wallTime: Type.String({ maxLength: 40 }),
  by: closed({
    role: oneOf(['lead', 'logger', 'observer', 'participant', 'monitor', 'server', 'rehearsal']),
    seat: optional(Type.String({ maxLength: 64 })),
  }),
  clientId: optional(Type.String({ maxLength: 64 })),
  clientNumber: optional(Count),
};

const kinds = Object.keys(EVENT_FIELDS) as Kind[];

/** The closed body of each kind. */
export const BODY_SCHEMAS = Object.fromEntries(
  kinds.map((kind) => [kind, closed({ kind: Type.Literal(kind), ...EVENT_FIELDS[kind] })]),
) as unknown as { readonly [K in Kind]: WithKind<K, Record<never, TSchema>> };

/** The closed logged event of each kind. */
export const EVENT_SCHEMAS = Object.fromEntries(
  kinds.map((kind) => [kind, closed({ ...EVENT_BASE, kind: Type.Literal(kind), ...EVENT_FIELDS[kind] })]),
) as unknown as { readonly [K in Kind]: WithKind<K, typeof EVENT_BASE> };

type AnyOf<T extends Record<string, TSchema>> = TSchema & { static: T[keyof T]['static'] };

export const EventBodySchema = Type.Union(Object.values(BODY_SCHEMAS)) as unknown as AnyOf<typeof BODY_SCHEMAS>;
export const RunEventSchema = Type.Union(Object.values(EVENT_SCHEMAS)) as unknown as AnyOf<typeof EVENT_SCHEMAS>;

export const ClientIdSchema = Type.String({ pattern: '^[A-Za-z0-9_-]{1,64}$' });

/** Who may be put at the door: a join by one-use ticket. */
export const JoinSchema = closed({
  t: Type.Literal('join'),
  ticket: Type.String({ minLength: 10, maxLength: 100 }),
  lastSeq: optional(Count),
  seat: optional(ClientIdSchema),
});

/** A command without its body; the body is checked by its own kind. */
export const COMMAND_ENVELOPE = {
  t: Type.Literal('command'),
  clientId: ClientIdSchema,
  n: Count,
  baseSeq: optional(Count),
  agoMs: optional(Type.Integer({ minimum: 0, maximum: 3_600_000 })),
  heldMs: optional(Type.Integer({ minimum: 0, maximum: LONGEST_HELD_MS })),
};

export const CommandSchema = closed({ ...COMMAND_ENVELOPE, command: EventBodySchema });

export const PingSchema = closed({ t: Type.Literal('ping'), n: Count });
