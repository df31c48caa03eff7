/** One state of a scenario: drives, findings, cues, ways out. */
import { Type, type Static } from '@sinclair/typebox';
import { VITALS, VITAL_NAMES } from '../../words/vitals.ts';
import { conditionSchema } from './condition.ts';
import { id, list, named, oneOf, optional, quantity, ref, shape, text } from './parts.ts';
import { duration } from './vocabulary.ts';

/** A value for each vital, with the units of that vital. */
const vitalValue = (description: string) => {
  const kinds = [...new Set([...VITALS.values()].flatMap((word) => (word.kind ? [word.kind] : [])))];
  return Type.Union(
    [
      quantity(kinds, description, ['140 /min']),
      Type.Number({ description: 'A plain number, for pH only.', examples: [7.2], minimum: 0, maximum: 14 }),
    ],
    { description, examples: ['140 /min', '92 %'], 'x-name': 'the value' },
  );
};

const byVital = <T extends ReturnType<typeof shape> | ReturnType<typeof vitalValue>>(value: T) =>
  Object.fromEntries(
    VITAL_NAMES.map((name) => [
      name,
      optional({ ...value, description: VITALS.get(name)!.says, examples: undefined } as T),
    ]),
  );

const finding = Type.Union(
  [
    text(
      'What an examiner would see, hear or feel, as it can be spoken.',
      ['Wheeze on both sides, worse at the bases.'],
      600,
    ),
    shape(
      {
        says: text('What an examiner would see, hear or feel, as it can be spoken.', ['Lips and tongue swollen.'], 600),
        observable: optional(
          Type.Boolean({
            description: 'Seen from the end of the bed, without touching or listening.',
            examples: [true],
          }),
        ),
      },
      'a finding',
      'A written finding.',
      [{ says: 'Lips and tongue swollen.', observable: true }],
    ),
  ],
  { description: 'A written finding.', examples: ['Wheeze on both sides.'], 'x-name': 'a finding' },
);

const findingsOf = (letter: string) =>
  optional(
    Type.Union(
      [
        text(`One written finding for ${letter}.`, ['Widespread raised, itchy weals; warm palms.'], 600),
        named(
          finding,
          `Written findings for ${letter} by id; an id of the model’s replaces the model’s own words.`,
          [{ skin: 'Raised, itchy weals on chest and arms.' }],
          `${letter} findings`,
        ),
      ],
      {
        description: `What is found for ${letter}.`,
        examples: ['Widespread raised, itchy weals.'],
        'x-name': `the ${letter} findings`,
      },
    ),
  );

const cueSchema = shape(
  {
    id: optional(id('Id of the cue; made from the state and its place when left out.', ['throat-feels-funny'])),
    after: duration('Time after the state was entered.', ['40 s']),
    by: text('Who says it.', ['teacher'], 80),
    says: text('The words, ready to be spoken.', ['She says her throat feels funny.'], 600),
    kind: optional(
      oneOf(
        ['story', 'conceptual', 'reality'],
        '`story` moves the story on; `conceptual` points learners to what they need; `reality` makes up for what the simulation cannot show.',
        'a kind of cue',
      ),
    ),
    prompts: optional(
      list(
        ref('intervention', 'An intervention.', ['adrenaline-im']),
        'What a `conceptual` cue may bring somebody to do: only these are marked as done after a cue.',
        [],
        { maxItems: 40 },
      ),
    ),
    'prompts-for': optional(
      duration('For how long after it is spoken an act may count as prompted; 60 s when left out.', ['90 s']),
    ),
    'only-if': optional(conditionSchema),
  },
  'a cue',
  'A line somebody speaks at a time.',
  [{ after: '40 s', by: 'teacher', says: 'She says her throat feels funny.' }],
);

const driveValue = Type.Union(
  [
    Type.Number({ description: 'Where the drive goes, at once.', examples: [0.75], minimum: -1000, maximum: 1000 }),
    shape(
      {
        to: Type.Number({
          description: 'Where the drive goes, in its own unit (0 to 1 for most).',
          examples: [0.75],
          minimum: -1000,
          maximum: 1000,
        }),
        over: optional(duration('How long it takes to get there.', ['3 min'])),
      },
      'a drive',
      'What the illness is asked to do.',
      [{ to: 0.75, over: '3 min' }],
    ),
  ],
  { description: 'Where the drive goes, and how fast.', examples: [{ to: 0.75, over: '3 min' }], 'x-name': 'a drive' },
);

const scriptedValue = shape(
  {
    to: vitalValue('The value it goes to.'),
    over: optional(duration('How long it takes to get there.', ['60 s'])),
  },
  'a scripted vital',
  'A vital steered by the author instead of the model.',
  [{ to: '140 /min', over: '60 s' }],
);

const stateSchema = shape(
  {
    title: text('Plain words for faculty.', ['Arrival, distressed'], 120),
    says: optional(text('What faculty should know or say on entering.', ['She looks frightened and leans forward.'])),
    drives: optional(
      Type.Unsafe<Record<string, Static<typeof driveValue>>>({
        type: 'object',
        description: 'What the state asks of the patient model, by drive.',
        examples: [{ mediators: { to: 0.75, over: '3 min' } }],
        propertyNames: { pattern: '^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$', maxLength: 64 },
        additionalProperties: driveValue,
        maxProperties: 40,
        'x-name': 'the drives',
        'x-key-ref': 'drive',
      }),
    ),
    scripted: optional(
      Type.Unsafe<Record<string, Static<typeof scriptedValue>>>(
        shape(
          byVital(scriptedValue as never),
          'the scripted vitals',
          'Vitals steered by the author instead of the model, in this state.',
          [{ 'heart-rate': { to: '140 /min', over: '60 s' } }],
        ),
      ),
    ),
    findings: optional(
      shape(
        {
          airway: findingsOf('airway'),
          breathing: findingsOf('breathing'),
          circulation: findingsOf('circulation'),
          disability: findingsOf('disability'),
          exposure: findingsOf('exposure'),
        },
        'the findings',
        'What an examiner finds, where it is not to come from the model.',
        [{ exposure: 'Widespread raised, itchy weals; palms warm.' }],
      ),
    ),
    cues: optional(list(cueSchema, 'Lines spoken at set times in this state.', [], { maxItems: 60 })),
    transitions: optional(
      list(
        shape(
          {
            to: ref('state', 'The state to go to, in the same thread.', ['settling']),
            when: conditionSchema,
            says: optional(text('Why, in plain words for faculty.', ['Saturation and pressure recovered'], 300)),
          },
          'a transition',
          'Where the story goes next, and when. The first that holds, in the order written, is taken.',
          [{ to: 'settling', when: { vital: 'spo2', 'at-least': '94 %', for: '60 s' } }],
        ),
        'Ways out of the state, in order of preference.',
        [],
        { maxItems: 40 },
      ),
    ),
    ending: optional(
      shape(
        {
          outcome: text('How it ends, in plain words.', ['Settled and ready for transfer.'], 400),
          kind: oneOf(['good', 'mixed', 'poor'], 'How the ending counts.', 'a kind of ending'),
        },
        'an ending',
        'The run may be closed here.',
        [{ outcome: 'Settled and ready for transfer.', kind: 'good' }],
      ),
    ),
    'by-faculty': optional(
      Type.Boolean({
        description: 'Entered only when faculty force it; no transition needs to lead here.',
        examples: [true],
      }),
    ),
  },
  'a state',
  'One phase of the story.',
);

export const statesSchema = () => named(stateSchema, 'The states, by id.', [], 'the states');

export type StateDoc = Static<typeof stateSchema>;
