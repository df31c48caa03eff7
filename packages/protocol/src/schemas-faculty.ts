/** Schemas of what only faculty may ask of a run: why a vital is what it is, the bedside scores whole, what the log has gained. */
import { Type } from '@sinclair/typebox';
import { RunEventSchema } from './schemas-events.ts';
import { Num, Text, Vital, closed, list, nullable, oneOf } from './schemas-shared.ts';

export const WhyQuerySchema = closed({ vital: Vital });

export const WhyAnswerSchema = closed({
  caution: Text,
  clockMs: Num,
  effective: Num,
  held: Type.Boolean(),
  vital: Vital,
  value: Num,
  text: Text,
  terms: list(
    closed({
      id: Text,
      label: Text,
      value: Num,
      unit: Text,
      trend: Type.Optional(oneOf(['rising', 'falling', 'steady'])),
    }),
    100,
  ),
});

const SCORE_IDS = ['news2', 'pews', 'westley', 'pram', 'shock-index'] as const;

export const ScoreOutcomeSchema = Type.Union([
  closed({
    ok: Type.Literal(true),
    score: oneOf(SCORE_IDS),
    title: Text,
    total: Num,
    outOf: nullable(Num),
    items: list(closed({ id: Text, label: Text, value: Text, points: Num }), 100),
    band: Text,
    bandWords: Text,
    variant: nullable(Text),
    notes: list(Text, 100),
    source: Text,
  }),
  closed({
    ok: Type.Literal(false),
    score: oneOf(SCORE_IDS),
    title: Text,
    code: oneOf(['age', 'missing', 'bad-value', 'not-applicable']),
    because: Text,
    mend: Text,
  }),
]);

export const ScoresAnswerSchema = closed({
  caution: Text,
  clockMs: Num,
  consciousness: closed({
    level: oneOf(['alert', 'confused', 'voice', 'pain', 'unresponsive']),
    letter: Text,
    words: Text,
    medianGcs: nullable(Num),
    usualGcs: nullable(Type.Tuple([Num, Num])),
    source: Text,
  }),
  scores: list(ScoreOutcomeSchema, 100),
});

export const LogQuerySchema = closed({ after: Type.Optional(Type.String({ pattern: '^[0-9]{1,7}$' })) });

export const LogAnswerSchema = closed({ seq: Num, wallTime: Text, events: list(RunEventSchema) });
