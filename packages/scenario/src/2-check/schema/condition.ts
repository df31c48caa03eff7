/** Questions put to the run. Structured data: editors complete it, a linter points at the node, nothing is executed. */
import { Type, type Static } from '@sinclair/typebox';
import { GRADES, SIGNS } from '@breathline/patient';
import { VITALS, VITAL_NAMES } from '../../words/vitals.ts';
import { quantityPattern } from '../../words/quantity.ts';
import { list, oneOf, oneOrMore, optional, quantity, ref, shape, text } from './parts.ts';

export const AGE_LIMITS = ['low-limit-for-age', 'median-for-age', 'high-limit-for-age'] as const;

export const COMPARISONS = ['at-least', 'above', 'at-most', 'below'] as const;

const vitalKinds = [...new Set([...VITALS.values()].flatMap((word) => (word.kind ? [word.kind] : [])))];
const DECIMAL = '\\d+(?:\\.\\d+)?';

/** `92 %`, `7.35`, `low-limit-for-age`, `0.7 x low-limit-for-age`. */
export const LIMIT_BY_AGE = new RegExp(`^(?:(${DECIMAL}) x )?(${AGE_LIMITS.join('|')})$`);

const limitPattern = `(?:${quantityPattern(vitalKinds)})|(?:^(?:${DECIMAL} x )?(?:${AGE_LIMITS.join('|')})$)`;

const vitalLimit = (description: string) =>
  Type.Union(
    [
      Type.String({
        pattern: limitPattern,
        maxLength: 60,
        'x-limit': true,
        description,
        examples: ['92 %', 'low-limit-for-age', '0.7 x low-limit-for-age'],
      }),
      Type.Number({ description: 'A plain number, for pH only.', examples: [7.2], minimum: 0, maximum: 14 }),
    ],
    { description, examples: ['92 %', 'low-limit-for-age'], 'x-name': 'the limit' },
  );

export const held = () =>
  optional(quantity(['duration'], 'It must have held without a break for this long.', ['60 s'], [0, 7_200_000]));

export const vitalName = () =>
  oneOf(
    VITAL_NAMES,
    `A vital of the patient: ${[...VITALS].map(([name, word]) => `${name} (${word.says})`).join('; ')}.`,
    'a vital',
  );

/** The four comparisons of a vital; exactly one is to be written (checked apart, for a better message). */
export const vitalComparison = {
  vital: vitalName(),
  'at-least': optional(vitalLimit('True at this value or above.')),
  above: optional(vitalLimit('True above this value.')),
  'at-most': optional(vitalLimit('True at this value or below.')),
  below: optional(vitalLimit('True below this value.')),
};

const grade = (description: string) => oneOf(GRADES, description, 'a grade');

export const conditionSchema = Type.Recursive(
  (self) =>
    Type.Union(
      [
        shape(
          { all: list(self, 'Every one of these holds.', [], { minItems: 1, maxItems: 30 }) },
          'an `all` condition',
          'True when every one holds.',
        ),
        shape(
          { any: list(self, 'At least one of these holds.', [], { minItems: 1, maxItems: 30 }) },
          'an `any` condition',
          'True when at least one holds.',
        ),
        shape({ not: self }, 'a `not` condition', 'True when the other does not hold.'),
        shape(
          { ...vitalComparison, for: held() },
          'a vital condition',
          'Compares a vital of the patient with a limit.',
          [{ vital: 'spo2', 'at-least': '94 %', for: '60 s' }],
        ),
        shape(
          {
            sign: oneOf(SIGNS, 'A graded sign of the patient.', 'a sign'),
            'at-least': optional(grade('True at this grade or worse.')),
            above: optional(grade('True when worse than this grade.')),
            'at-most': optional(grade('True at this grade or better.')),
            below: optional(grade('True when better than this grade.')),
            for: held(),
          },
          'a sign condition',
          'Compares a graded sign (none, mild, moderate, marked, severe).',
          [{ sign: 'fatigue', 'at-least': 'marked' }],
        ),
        shape(
          {
            given: oneOrMore(
              ref('intervention', 'An intervention of the formulary.', ['adrenaline-im']),
              'Any of these, given.',
              ['adrenaline-im'],
            ),
            times: optional(
              Type.Integer({
                description: 'How often in all; 1 when left out.',
                examples: [2],
                minimum: 1,
                maximum: 50,
              }),
            ),
            'dose-share': optional(
              quantity(['percent'], 'Count only doses of at least this share of the pack’s dose.', ['80 %'], [0, 1000]),
            ),
            within: optional(
              quantity(['duration'], 'Count only doses in the last so long.', ['10 min'], [0, 86_400_000]),
            ),
          },
          'a given condition',
          'Counts what the team has given.',
          [{ given: 'adrenaline-im', times: 2 }],
        ),
        shape(
          {
            assessed: oneOrMore(
              ref('assessment', 'An assessment of the formulary.', ['full-reassessment']),
              'Any of these assessments made.',
              ['full-reassessment'],
            ),
          },
          'an assessed condition',
          'True once the team has made the assessment.',
          [{ assessed: 'full-reassessment' }],
        ),
        shape(
          { 'in-state-for': quantity(['duration'], 'Time since this state was entered.', ['3 min'], [0, 86_400_000]) },
          'an in-state-for condition',
          'True this long after entering the present state.',
          [{ 'in-state-for': '3 min' }],
        ),
        shape(
          { 'run-clock': quantity(['clock', 'duration'], 'Time on the run clock.', ['12:00'], [0, 86_400_000]) },
          'a run-clock condition',
          'True from this time on the run clock.',
          [{ 'run-clock': '12:00' }],
        ),
        shape(
          {
            state: ref('state', 'A state of the thread.', ['settling']),
            thread: optional(ref('thread', 'The thread, when there are several.', ['family'])),
          },
          'a state condition',
          'True while the thread is in this state.',
          [{ state: 'settling' }],
        ),
        shape(
          { faculty: text('Label of a button on the faculty console.', ['Senior arrives'], 80) },
          'a faculty condition',
          'True once faculty press the button of this label.',
          [{ faculty: 'Senior arrives' }],
        ),
      ],
      {
        description:
          'A condition: one of all, any, not, vital, sign, given, assessed, in-state-for, run-clock, state, faculty.',
        'x-name': 'a condition',
        'x-choose': true,
      },
    ),
  { $id: 'condition' },
);

export type ConditionDoc = Static<typeof conditionSchema>;
