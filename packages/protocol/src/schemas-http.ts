/** Schemas of the HTTP bodies that are this package's own. */
import { Type } from '@sinclair/typebox';
import { Count, Id, Label, Num, Phase, Pseudonym, Text, closed, list, nullable, oneOf } from './schemas-shared.ts';

export const LoginBodySchema = closed({ passphrase: Type.String({ minLength: 1, maxLength: 200 }) });
export const JoinBodySchema = closed({
  code: Type.String({ minLength: 1, maxLength: 20 }),
  /** Asked for with the crew's code only. */
  as: Type.Optional(oneOf(['logger', 'observer', 'participant'])),
});
/** Signed-in faculty may open a run in another part. */
export const TicketBodySchema = closed({
  as: Type.Optional(oneOf(['faculty', 'logger', 'observer', 'participant'])),
});
export const NewRunBodySchema = closed({
  scenarioId: Id,
  packId: Id,
  /** As far as the patient model goes. */
  weightKg: Type.Optional(Type.Number({ minimum: 1.5, maximum: 250 })),
  /** One of the site's wards. */
  ward: Type.Optional(Label),
  team: Type.Optional(Pseudonym),
  /** Counts in the programme: yes, unless it goes over an earlier run again. */
  scored: Type.Optional(Type.Boolean()),
  /** The run this one goes over again. */
  repeatOf: Type.Optional(Text),
  /** One word of the story for another, for instance the food that did it. Ids and the patient model stay as they are. */
  swap: Type.Optional(
    closed({
      from: Type.String({ minLength: 2, maxLength: 60 }),
      to: Type.String({ minLength: 2, maxLength: 60 }),
    }),
  ),
});

/** A site's own copy of a pack. The id becomes a file name: small letters, digits, single hyphens. */
export const PackForkBodySchema = closed({
  as: Type.String({ minLength: 1, maxLength: 80 }),
  title: Type.Optional(Type.String({ minLength: 1, maxLength: 160 })),
});

export const MeSchema = closed({ role: nullable(Type.Literal('faculty')) });
export const HealthSchema = closed({ ok: Type.Literal(true), version: Text });
export const TicketSchema = closed({ ticket: Text });
export const NewRunSchema = closed({ runId: Text, joinCode: Text, crewCode: Type.Optional(Text) });
export const ImportedSchema = closed({ runId: Text });

export const ScenarioCardSchema = closed({
  id: Text,
  title: Text,
  summary: Text,
  level: Text,
  setting: Text,
  patientText: Text,
  ageYears: Num,
  weightKg: Num,
  guidelines: list(closed({ id: Text, title: Text })),
  objectives: list(Text),
  warnings: Count,
  file: Text,
});

export const DiagnosticSchema = closed({
  code: Text,
  severity: oneOf(['error', 'warning']),
  file: Text,
  line: Num,
  column: Num,
  endLine: Num,
  endColumn: Num,
  path: Text,
  message: Text,
  hint: Type.Optional(Text),
  frame: Type.Optional(Text),
});

export const ScenarioListSchema = closed({
  scenarios: list(ScenarioCardSchema),
  broken: list(closed({ file: Text, errors: list(DiagnosticSchema) })),
});

export const RunCardSchema = closed({
  runId: Text,
  scenarioId: Text,
  scenarioTitle: Text,
  packId: Text,
  phase: Phase,
  clockMs: Num,
  joinCode: nullable(Text),
  crewCode: Type.Optional(nullable(Text)),
  createdAt: Text,
  endedAt: nullable(Text),
  imported: Type.Boolean(),
  rehearsal: Type.Optional(Type.Boolean()),
  ward: Type.Optional(nullable(Text)),
  team: Type.Optional(nullable(Text)),
  scored: Type.Optional(Type.Boolean()),
  ending: Type.Optional(nullable(closed({ realEmergency: Type.Boolean(), state: nullable(Text) }))),
});

export const ProblemSchema = closed({
  type: Text,
  title: Text,
  status: Num,
  detail: Text,
  code: Text,
  hint: Text,
  currentSeq: Type.Optional(Num),
});
