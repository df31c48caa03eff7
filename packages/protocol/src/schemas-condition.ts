/** Schema of a condition as built: a question put to the run, nested at most as deep as the reader allows. */
import { Type, type TSchema } from '@sinclair/typebox';
import { GRADES, SIGNS } from '@breathline/patient';
import type { Condition } from '@breathline/scenario';
import { Num, Text, Vital, closed, list, oneOf } from './schemas-shared.ts';

const optional = Type.Optional;
const Op = oneOf(['at-least', 'above', 'at-most', 'below']);
const Limit = Type.Union([
  closed({ value: Num }),
  closed({ relative: oneOf(['low-limit-for-age', 'high-limit-for-age', 'median-for-age']), factor: optional(Num) }),
]);

export const ConditionSchema = Type.Recursive(
  (Self) =>
    Type.Union([
      closed({ kind: oneOf(['all', 'any']), of: list(Self, 200) }),
      closed({ kind: Type.Literal('not'), of: Self }),
      closed({ kind: Type.Literal('vital'), vital: Vital, op: Op, limit: Limit, forMs: Num }),
      closed({ kind: Type.Literal('sign'), sign: oneOf(SIGNS), op: Op, grade: oneOf(GRADES), forMs: Num }),
      closed({
        kind: Type.Literal('given'),
        interventions: list(Text),
        times: Num,
        minDoseShare: Num,
        withinMs: optional(Num),
      }),
      closed({ kind: Type.Literal('assessed'), interventions: list(Text) }),
      closed({ kind: Type.Literal('in-state-for'), ms: Num }),
      closed({ kind: Type.Literal('run-clock'), ms: Num }),
      closed({ kind: Type.Literal('state'), thread: Text, state: Text }),
      closed({ kind: Type.Literal('faculty'), label: Text }),
    ]),
  { $id: 'Condition' },
) as unknown as TSchema & { static: Condition };
