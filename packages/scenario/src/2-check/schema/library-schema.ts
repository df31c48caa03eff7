/** Formulary files and guideline packs as their authors write them. */
import { OXYGEN_DEVICES, ROUTES } from '@breathline/patient';
import { Type, type Static } from '@sinclair/typebox';
import { VITAL_NAMES } from '../../words/vitals.ts';
import { conditionSchema } from './condition.ts';
import {
  date,
  dose,
  doseParts,
  doseTable,
  dosePerKg,
  id,
  list,
  named,
  oneOf,
  optional,
  quantity,
  ref,
  shape,
  sourceRef,
  sourcesSchema,
  text,
  version,
} from './parts.ts';
import { DEVICES, LETTERS, POSTURES } from './vocabulary.ts';

export const GROUPS = [...LETTERS, 'team'] as const;
export const KINDS = [
  'drug',
  'fluid',
  'oxygen',
  'posture',
  'procedure',
  'assessment',
  'device',
  'call',
  'team',
  'test',
] as const;
const UNITS = ['micrograms', 'mg', 'g', 'mL', 'units'] as const;

export const interventionSchema = shape(
  {
    name: text('British name, generic.', ['Adrenaline, intramuscular'], 120),
    'name-us': optional(text('American name, generic.', ['Epinephrine, intramuscular'], 120)),
    short: optional(text('For a button.', ['Adrenaline IM'], 40)),
    group: oneOf(GROUPS, 'Where it stands on the console.', 'a group'),
    kind: oneOf(KINDS, 'What sort of thing it is.', 'a kind of intervention'),
    drug: optional(id('Generic drug; shared by the routes of one drug.', ['adrenaline'])),
    effect: optional(
      ref('effect', 'Kinetics of the patient model; leave out when nothing in the model answers.', ['adrenaline']),
    ),
    route: optional(oneOf(ROUTES, 'Usual route.', 'a route')),
    routes: optional(list(oneOf(ROUTES, 'A route.', 'a route'), 'Routes offered.', [['iv', 'io']], { minItems: 1 })),
    sites: optional(
      list(text('A site.', ['outer mid-thigh'], 60), 'Sites offered, the usual one first.', [['outer mid-thigh']], {
        minItems: 1,
      }),
    ),
    unit: optional(oneOf(UNITS, 'Unit of the amount.', 'a unit')),
    'rate-per': optional(
      oneOf(['min', 'h'], 'The amount is a rate per this time (an infusion), not a single dose.', 'a time'),
    ),
    concentrations: optional(
      list(
        quantity(['concentration', 'units-concentration'], 'A strength.', ['1 mg/mL']),
        'Strengths it comes in, the usual one first.',
        [['1 mg/mL']],
        { minItems: 1 },
      ),
    ),
    over: optional(quantity(['duration'], 'How long the giving lasts.', ['10 min'], [0, 86_400_000])),
    oxygen: optional(
      shape(
        {
          device: oneOf(OXYGEN_DEVICES, 'How it is given.', 'an oxygen device'),
          flow: optional(quantity(['flow'], 'Usual flow.', ['15 L/min'], [0, 100])),
          fraction: optional(quantity(['percent'], 'Set inspired oxygen.', ['28 %'], [21, 100])),
        },
        'the oxygen',
        'The oxygen it gives.',
        [{ device: 'non-rebreathe-mask', flow: '15 L/min' }],
      ),
    ),
    posture: optional(oneOf(POSTURES, 'The posture it brings.', 'a posture')),
    procedure: optional(
      shape(
        {
          id: ref('procedure', 'Procedure of the patient model.', ['bag-mask']),
          on: Type.Boolean({ description: 'Starts (true) or stops (false) it.', examples: [true] }),
          amount: optional(
            Type.Number({ description: 'In the procedure’s own unit.', examples: [20], minimum: 0, maximum: 1000 }),
          ),
        },
        'the procedure',
        'What it does to the patient model.',
        [{ id: 'bag-mask', on: true, amount: 20 }],
      ),
    ),
    device: optional(oneOf(DEVICES, 'Monitor device it attaches.', 'a device')),
    reveals: optional(
      shape(
        {
          letters: optional(list(oneOf(LETTERS, 'A letter.', 'a letter'), 'All findings of these.', [['airway']])),
          findings: optional(list(id('A finding.', ['pupils']), 'These findings.', [['pupils']])),
          vitals: optional(list(oneOf(VITAL_NAMES, 'A vital.', 'a vital'), 'These vitals.', [['capillary-refill']])),
        },
        'what it reveals',
        'For an assessment: what the team learns.',
        [{ letters: ['airway'] }],
      ),
    ),
    steps: optional(
      list(
        oneOf(['said', 'drawn-up', 'given'], 'A step.', 'a step'),
        'Steps worth telling apart.',
        [['said', 'drawn-up', 'given']],
        { minItems: 1 },
      ),
    ),
    'device-doses': optional(
      list(
        dose('One size.', ['150 micrograms']),
        'Fixed doses of an automatic injector: the sizes it comes in.',
        [['150 micrograms', '300 micrograms']],
        { minItems: 1 },
      ),
    ),
    'warn-above': optional(
      shape(
        {
          'per-kg': optional(dosePerKg('Per kg.', ['15 micrograms/kg'])),
          total: optional(dose('In all.', ['1 mg'])),
        },
        'warn-above',
        'A dose above this is asked about inline, never refused.',
        [{ total: '1 mg' }],
      ),
    ),
    dose: optional(shape(doseParts, 'the usual dose', 'Usual dose where the chosen pack has none.')),
    hazard: optional(
      text('Shown before it is done: why it may harm.', ['Standing a shocked patient up can stop the heart.'], 300),
    ),
    spoken: optional(
      Type.Boolean({ description: 'Done by saying it aloud; asked about as said or not said.', examples: [true] }),
    ),
    search: optional(list(text('A word.', ['epi'], 40), 'Other words it is found by.', [['adr', 'epi']])),
    'one-tap': optional(
      Type.Integer({
        description: 'Rank among the one-tap buttons, 1 first; leave out for the second tap.',
        examples: [1],
        minimum: 1,
        maximum: 40,
      }),
    ),
    source: optional(sourceRef()),
  },
  'an intervention',
  'One thing a team can do.',
);

export const formularySchema = shape(
  {
    breathline: version(),
    kind: oneOf(['formulary'], 'What this file is.', 'a kind of file'),
    id: id('Id of the file.', ['core']),
    sources: optional(sourcesSchema()),
    interventions: named(interventionSchema, 'The interventions, by id.', [], 'the interventions'),
  },
  'a formulary',
  'Part of the one catalogue of interventions. Training only, not for patient care.',
);

export const CLOCKS = [
  'arrival',
  'could-have-seen',
  'did-see',
  'previous-dose',
  'shock-visible',
  'first-dose',
] as const;

const within = (description: string, examples: readonly string[]) =>
  quantity(['duration', 'clock'], description, examples, [0, 86_400_000]);

const targetSchema = shape(
  {
    says: text('What should be done, in plain words.', ['First intramuscular adrenaline'], 200),
    interventions: list(
      ref('intervention', 'An intervention.', ['adrenaline-im']),
      'Any one of these satisfies it.',
      [['adrenaline-im']],
      { minItems: 1 },
    ),
    clock: oneOf(CLOCKS, 'What starts the time.', 'a clock'),
    'clock-intervention': optional(
      ref('intervention', 'Whose dose starts the clock (`previous-dose`, `first-dose`).', ['adrenaline-im']),
    ),
    nth: optional(
      Type.Integer({ description: 'Which dose this times; 1 = first.', examples: [1], minimum: 1, maximum: 20 }),
    ),
    due: optional(within('Full credit at or before.', ['2 min'])),
    limit: optional(within('Credit fades to nothing at this time.', ['5 min'])),
    'not-before': optional(within('Earlier is too early.', ['4 min'])),
    'only-if': optional(conditionSchema),
    'dose-rule': optional(ref('dose-rule', 'Dose rule the amount is checked against.', ['adrenaline-im'])),
    side: optional(
      oneOf(
        ['ill'],
        'Counts only on the side of the patient that is ill; done on the other side it is harm.',
        'a side',
      ),
    ),
    space: optional(
      text('Words of the site it must be done at; the act is judged by its site, not timed.', ['2nd space'], 80),
    ),
    'must-follow': optional(ref('intervention', 'Must not happen before the first of this.', ['adrenaline-im'])),
    contraindicated: optional(Type.Boolean({ description: 'Doing it at all is the error.', examples: [true] })),
    critical: Type.Boolean({ description: 'Missing it is a critical failure.', examples: [true] }),
    weight: Type.Number({ description: 'How much it counts.', examples: [3], minimum: 0, maximum: 10 }),
    'time-status': oneOf(
      ['guideline', 'interval', 'teaching'],
      'Is the time the guideline’s own, its repeat interval, or a teaching target.',
      'a time status',
    ),
    source: sourceRef(),
  },
  'a target',
  'Something the scorecard looks for.',
);

export const packSchema = shape(
  {
    breathline: version(),
    kind: oneOf(['pack'], 'What this file is.', 'a kind of file'),
    id: id('Id of the pack; also its file name.', ['anaphylaxis-uk-2021']),
    title: text('Title.', ['Anaphylaxis, United Kingdom 2021'], 160),
    organisation: text('Who published the guideline.', ['Resuscitation Council UK'], 200),
    edition: text('Edition.', ['May 2021'], 100),
    condition: text('What it is for.', ['anaphylaxis'], 80),
    'review-by': date('When it must be looked at again.', ['2027-05-31']),
    'forked-from': optional(id('The pack this was copied from.', ['anaphylaxis-uk-2021'])),
    'forked-hash': optional(text('What that pack said when it was copied, as a SHA-256; leave it as it is.', [], 64)),
    'dose-tolerance': shape(
      {
        full: quantity(['percent'], 'Right within this share of the dose.', ['10 %'], [0, 100]),
        partial: quantity(['percent'], 'Partly right within this share.', ['20 %'], [0, 100]),
        'critical-high': Type.Number({
          description: 'At or above this multiple: critical.',
          examples: [2],
          minimum: 1,
          maximum: 100,
        }),
        'critical-low': Type.Number({
          description: 'At or below this multiple: critical.',
          examples: [0.5],
          minimum: 0,
          maximum: 1,
        }),
      },
      'the dose tolerance',
      'How far a dose may be off.',
    ),
    sources: sourcesSchema(),
    recognition: list(
      shape(
        {
          id: id('Id.', ['airway-swelling']),
          says: text('In plain words.', ['Voice change or stridor after exposure'], 200),
          when: conditionSchema,
          source: sourceRef(),
        },
        'a recognition criterion',
        'Any one starts the clock “could have been seen”.',
      ),
      'Observable criteria.',
      [],
      { minItems: 1, maxItems: 40 },
    ),
    'shock-visible': optional(conditionSchema),
    observation: optional(
      named(
        shape(
          {
            says: text('In plain words.', ['6 hours if two doses were needed'], 300),
            hours: Type.Number({ description: 'Least hours.', examples: [6], minimum: 0, maximum: 168 }),
            from: oneOf(['onset', 'last-dose', 'resolution'], 'What the hours are counted from.', 'a starting point'),
            when: optional(conditionSchema),
            needs: optional(
              list(
                text('In plain words.', ['an injector in hand, with training']),
                'It is enough only where all of these are so; a drill can not know them.',
                [],
                {
                  maxItems: 12,
                },
              ),
            ),
            'or-if': optional(
              list(
                text('In plain words.', ['a reaction that came back before']),
                'It also applies where one of these is so; a drill can not know them.',
                [],
                {
                  maxItems: 12,
                },
              ),
            ),
            source: sourceRef(),
          },
          'an observation rule',
          'How long to watch the patient if `when` was ever so; without `when`, always. The longest that applies counts.',
        ),
        'Observation after the emergency, by id.',
        [],
        'the observation rules',
      ),
    ),
    'oxygen-range': optional(
      shape(
        {
          from: quantity(['percent'], 'Lowest saturation to aim for.', ['94 %'], [70, 100]),
          to: quantity(['percent'], 'Highest saturation to aim for.', ['98 %'], [70, 100]),
          'above-is-danger': optional(
            Type.Boolean({
              description: 'On added oxygen, more than this harms: the patient may retain carbon dioxide.',
              examples: [true],
            }),
          ),
          source: sourceRef(),
        },
        'the oxygen range',
        'The saturation to aim for once on oxygen. Leave out where the guideline names none: then none is judged.',
        [{ from: '94 %', to: '98 %', source: 'guideline' }],
      ),
    ),
    'key-step': optional(
      shape(
        {
          target: ref('target', 'A target of this pack, with a due time.', ['first-adrenaline']),
          says: text('In a few words, for the picture.', ['First adrenaline'], 30),
        },
        'the key step',
        'The one step this illness turns on. Without it: the first critical target that is done to the patient.',
        [{ target: 'first-adrenaline', says: 'First adrenaline' }],
      ),
    ),
    doses: named(
      shape(
        {
          intervention: ref('intervention', 'What is given.', ['adrenaline-im']),
          ...doseParts,
          'or-by-age': doseTable,
        },
        'a dose rule',
        'How much of an intervention.',
      ),
      'The dose rules, by id.',
      [],
      'the doses',
    ),
    targets: named(targetSchema, 'The targets, by id.', [], 'the targets'),
    source: sourceRef(),
  },
  'a guideline pack',
  'Doses and targets of one published guideline. Training only, not for patient care.',
);

export type FormularyDoc = Static<typeof formularySchema>;
export type InterventionDoc = Static<typeof interventionSchema>;
export type PackDoc = Static<typeof packSchema>;
export type TargetDoc = Static<typeof targetSchema>;
export type DosePartsDoc = Pick<
  NonNullable<InterventionDoc['dose']>,
  'by-age' | 'per-kg' | 'concentration' | 'over' | 'source'
> & { readonly 'or-by-age'?: NonNullable<InterventionDoc['dose']>['by-age'] };
