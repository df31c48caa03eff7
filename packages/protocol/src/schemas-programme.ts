/** Schemas of the programme, the register of system problems, and of privacy. */
import { Type } from '@sinclair/typebox';
import { Label, Pseudonym, Text, closed, list, nullable, oneOf } from './schemas-shared.ts';
import { PROBLEM_CATEGORIES, PROBLEM_RISKS, PROBLEM_STATUSES } from './types-programme.ts';

const Day = Type.String({ pattern: '^\\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\\d|3[01])$' });
const Words = Type.String({ maxLength: 1_000 });

export const ProgrammeQuerySchema = closed({
  groupBy: Type.Optional(oneOf(['none', 'ward', 'team', 'scenario', 'month'])),
  rules: Type.Optional(oneOf(['run-chart', 'control-chart', 'xmr-four-rules', 'runs-only'])),
  ward: Type.Optional(Label),
  team: Type.Optional(Label),
  scenario: Type.Optional(Label),
  condition: Type.Optional(Label),
  from: Type.Optional(Day),
  to: Type.Optional(Day),
});

/** Where a run was held, by whom, and whether it counts; what is left out stays. */
export const RunAboutBodySchema = closed({
  ward: Type.Optional(nullable(Label)),
  team: Type.Optional(nullable(Pseudonym)),
  scored: Type.Optional(Type.Boolean()),
});

export const ProblemEntrySchema = closed({
  id: Text,
  runId: nullable(Text),
  seq: Type.Optional(nullable(Type.Integer({ minimum: 1 }))),
  ward: nullable(Text),
  category: oneOf(PROBLEM_CATEGORIES),
  words: Text,
  photo: nullable(Text),
  risk: nullable(oneOf(PROBLEM_RISKS)),
  ownerRole: Text,
  dueOn: nullable(Text),
  fixedOn: nullable(Text),
  retestedOn: nullable(Text),
  status: oneOf(PROBLEM_STATUSES),
  foundAt: Text,
});
export const ProblemListSchema = closed({ problems: list(ProblemEntrySchema) });

export const ProblemQuerySchema = closed({
  ward: Type.Optional(Label),
  open: Type.Optional(oneOf(['yes', 'no'])),
  status: Type.Optional(oneOf(PROBLEM_STATUSES)),
  category: Type.Optional(oneOf(PROBLEM_CATEGORIES)),
  risk: Type.Optional(oneOf(PROBLEM_RISKS)),
});

const fields = {
  ward: Type.Optional(nullable(Label)),
  words: Type.Optional(Words),
  risk: Type.Optional(nullable(oneOf(PROBLEM_RISKS))),
  ownerRole: Type.Optional(Type.String({ maxLength: 80 })),
  dueOn: Type.Optional(nullable(Day)),
  fixedOn: Type.Optional(nullable(Day)),
  retestedOn: Type.Optional(nullable(Day)),
};
export const NewProblemBodySchema = closed({
  ...fields,
  category: oneOf(PROBLEM_CATEGORIES),
  words: Type.String({ minLength: 1, maxLength: 1_000 }),
});
export const ProblemPatchSchema = closed({
  ...fields,
  category: Type.Optional(oneOf(PROBLEM_CATEGORIES)),
  status: Type.Optional(oneOf(PROBLEM_STATUSES)),
});

const Name = Type.String({ maxLength: 120 });
export const PersonBodySchema = closed({
  pseudonym: Pseudonym,
  name: Type.Optional(Name),
  consent: Type.Optional(Type.Boolean()),
});
export const PersonPatchSchema = closed({ name: Type.Optional(Name), consent: Type.Optional(Type.Boolean()) });
export const PersonEntrySchema = closed({
  pseudonym: Text,
  name: Text,
  consent: Type.Boolean(),
  createdAt: Text,
});

const Days = nullable(Type.Integer({ minimum: 1, maximum: 3_650 }));
export const RetentionSchema = closed({
  wordsDays: Days,
  peopleDays: Type.Optional(Days),
  photosDays: Type.Optional(Days),
});

/** Takes the words of some lines, or of every line, of one run away. */
export const EraseTextsBodySchema = closed({
  seqs: Type.Optional(list(Type.Integer({ minimum: 1, maximum: 1_000_000_000 }), 1_000)),
});
