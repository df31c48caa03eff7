/** The scenario file as its author writes it. */
import { Type, type Static, type TOptional, type TString } from '@sinclair/typebox';
import { BASELINES, VITALS, VITAL_NAMES } from '../../words/vitals.ts';
import { conditionSchema, held, vitalComparison } from './condition.ts';
import { dosePlainOrPerKg, id, list, named, oneOf, optional, quantity, ref, shape, text, version } from './parts.ts';

export const LETTERS = ['airway', 'breathing', 'circulation', 'disability', 'exposure'] as const;
export const POSTURES = ['sitting', 'supine', 'legs-raised', 'standing', 'recovery-position'] as const;
export const DEVICES = ['oximeter', 'ecg', 'bp-cuff', 'capnography', 'thermometer', 'glucose-meter'] as const;
export const ROUTES = [
  'im',
  'iv',
  'io',
  'neb',
  'inhaled',
  'oral',
  'intranasal',
  'subcutaneous',
  'topical',
  'rectal',
] as const;
const RESULTS = [
  'met',
  'early',
  'late',
  'missed',
  'not-due',
  'not-recorded',
  'censored',
  'given-unverified',
  'contraindicated-given',
  'order-kept',
  'order-broken',
] as const;

const duration = (description: string, examples: readonly string[]) =>
  quantity(['duration'], description, examples, [0, 86_400_000]);
const moment = (description: string, examples: readonly string[]) =>
  quantity(['clock', 'duration'], description, examples, [0, 86_400_000]);
const lines = (description: string, examples: readonly string[][]) =>
  list(text('One line.', [examples[0]?.[0] ?? 'A line'], 600), description, examples, { maxItems: 60 });
const condition = () => conditionSchema;

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
        text(`One written finding for ${letter}.`, ['Widespread raised, itchy wheals; warm palms.'], 600),
        named(
          finding,
          `Written findings for ${letter} by id; an id of the model’s replaces the model’s own words.`,
          [{ skin: 'Raised, itchy wheals on chest and arms.' }],
          `${letter} findings`,
        ),
      ],
      {
        description: `What is found for ${letter}.`,
        examples: ['Widespread raised, itchy wheals.'],
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
    'only-if': optional(condition()),
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
        [{ exposure: 'Widespread raised, itchy wheals; palms warm.' }],
      ),
    ),
    cues: optional(list(cueSchema, 'Lines spoken at set times in this state.', [], { maxItems: 60 })),
    transitions: optional(
      list(
        shape(
          {
            to: ref('state', 'The state to go to, in the same thread.', ['settling']),
            when: condition(),
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

const rehearsalAct = shape(
  {
    at: moment('When, on the run clock.', ['0:50']),
    give: optional(ref('intervention', 'Give this.', ['adrenaline-im'])),
    dose: optional(
      Type.Union(
        [
          oneOf(['as-pack', 'none'], 'The dose of the guideline pack, or no amount.', 'a dose'),
          dosePlainOrPerKg('How much, or how much per kg.', ['300 micrograms', '10 mL/kg']),
        ],
        {
          description: '`as-pack` (when left out and the pack has one), `none`, or an amount.',
          examples: ['as-pack', '300 micrograms'],
          'x-name': 'the dose',
        },
      ),
    ),
    flow: optional(quantity(['flow'], 'Oxygen flow.', ['15 L/min'], [0, 100])),
    route: optional(oneOf(ROUTES, 'Route, when not the usual one.', 'a route')),
    site: optional(text('Where, when not the usual place.', ['thigh'], 60)),
    assess: optional(ref('assessment', 'Make this assessment.', ['full-reassessment'])),
    attach: optional(oneOf(DEVICES, 'Attach this device.', 'a device')),
    force: optional(ref('state', 'Faculty force this state.', ['settling'])),
    thread: optional(ref('thread', 'The thread of the forced state.', ['main'])),
    faculty: optional(text('Faculty press the button of this label.', ['Senior arrives'], 80)),
    unless: optional(condition()),
    'only-if': optional(condition()),
  },
  'a rehearsal step',
  'One timed act: exactly one of give, assess, attach, force, faculty.',
  [{ at: '0:50', give: 'adrenaline-im', dose: 'as-pack' }],
);

const expectation = Type.Union(
  [
    shape(
      {
        state: ref('state', 'The state to be entered (or never).', ['settling']),
        thread: optional(ref('thread', 'The thread, when there are several.', ['main'])),
        by: optional(moment('At the latest.', ['10:00'])),
        'not-before': optional(moment('At the earliest.', ['2:00'])),
        never: optional(Type.Boolean({ description: 'It must not be entered at all.', examples: [true] })),
      },
      'an expected state',
      'The state is entered in time, or never.',
      [{ state: 'settling', by: '10:00' }],
    ),
    shape(
      { ...vitalComparison, for: held(), at: moment('When it is looked at.', ['10:00']) },
      'an expected vital',
      'A vital at a time.',
      [{ vital: 'spo2', 'at-least': '94 %', at: '10:00' }],
    ),
    shape(
      {
        target: ref('target', 'A target of a guideline pack.', ['first-adrenaline']),
        is: oneOf(RESULTS, 'What the scorecard says.', 'a result'),
      },
      'an expected target',
      'What the scorecard says of a target.',
      [{ target: 'first-adrenaline', is: 'met' }],
    ),
  ],
  { description: 'What should come of it.', 'x-name': 'an expectation', 'x-choose': true },
);

const threadSchema = shape(
  {
    title: text('Plain words for faculty.', ['The illness'], 120),
    start: ref('state', 'The state the thread starts in.', ['arrival']),
    states: statesSchema(),
  },
  'a thread',
  'One state machine; several may run side by side (the illness, the family, the ward).',
);

export const scenarioSchema = shape(
  {
    breathline: version(),
    kind: optional(oneOf(['scenario'], 'What this file is.', 'a kind of file')),
    id: id('Id of the scenario; also its file name.', ['sesame-museum-trip']),
    title: text('For faculty only: may give the diagnosis away.', ['Sesame reaction on a school trip'], 160),
    'learner-title': text(
      'What learners see: must not give the diagnosis away.',
      ['A child unwell at the museum'],
      160,
    ),
    summary: text('Two or three sentences for whoever picks a scenario.', [
      'A seven-year-old reacts to sesame and needs a second dose.',
    ]),
    level: oneOf(['novice', 'intermediate', 'advanced'], 'Whom it is for.', 'a level'),
    setting: text('Where it happens.', ['Treatment room of a small clinic'], 200),
    authors: optional(
      list(
        shape(
          {
            name: text('Name or role.', ['Paediatric nurse educator'], 160),
            role: oneOf(['clinical', 'simulation'], 'What the author answers for.', 'an author’s role'),
          },
          'an author',
          'Who wrote it.',
        ),
        'Who wrote it; at least one clinical and one simulation author.',
        [[{ name: 'Paediatric nurse educator', role: 'clinical' }]],
      ),
    ),
    rationale: optional(
      text('Why it is built this way: the choices that matter and their sources.', [
        'The first dose wears off, so that the repeat is practised.',
      ]),
    ),
    'time-compression': optional(
      text(
        'What runs faster here than in life, told to learners afterwards.',
        ['The reaction builds in 3 min; in life food reactions often take 30.'],
        600,
      ),
    ),
    patient: shape(
      {
        name: text('An invented name.', ['Nadia'], 80),
        age: quantity(['age'], 'Age.', ['7 years', '9 months'], [0, 115]),
        weight: quantity(['weight'], 'True weight.', ['23 kg'], [0.4, 350]),
        height: optional(quantity(['length'], 'Height or length.', ['122 cm'], [25, 230])),
        sex: oneOf(
          ['girl', 'boy', 'woman', 'man', 'female', 'male'],
          'Used for sizing (blood volume, height) and for words.',
          'a sex',
        ),
        allergies: optional(lines('Known allergies, as the notes would list them.', [['sesame']])),
        story: text('History that is true from the start.', ['Ate a pastry twenty minutes ago.']),
        skin: optional(
          text(
            'How this person’s skin looks when well, so that changes are described for it.',
            ['Deep brown skin; palms and nail beds show colour changes best.'],
            400,
          ),
        ),
        posture: optional(oneOf(POSTURES, 'Posture at the start; sitting when left out.', 'a posture')),
        baseline: optional(
          shape(
            Object.fromEntries(
              [...BASELINES].map(([name, word]) => [
                name,
                optional(
                  quantity(
                    [word.kind],
                    `Usual ${name.replaceAll('-', ' ')} when well.`,
                    [VITALS.get(name)?.example ?? '12.5 g/dL'],
                    [word.min, word.max],
                  ),
                ),
              ]),
            ) as Record<string, TOptional<TString>>,
            'the baseline',
            'How the patient is when well; what is left out comes from the norms for the age.',
            [{ 'heart-rate': '95 /min' }],
          ),
        ),
        illness: optional(
          list(
            shape(
              {
                disease: ref('disease', 'A disease of the patient model.', ['anaphylaxis']),
                pattern: optional(id('One of the disease’s own patterns.', ['food'])),
                severity: optional(Type.Number({ description: '0 to 1.', examples: [0.8], minimum: 0, maximum: 1 })),
                tempo: optional(
                  Type.Number({
                    description: 'Multiplies every rate of the disease; 1 is the pattern’s own speed.',
                    examples: [1],
                    minimum: 0.1,
                    maximum: 10,
                  }),
                ),
              },
              'an illness',
              'A disease this patient carries.',
              [{ disease: 'anaphylaxis', severity: 0.8 }],
            ),
            'Diseases the patient carries; the states’ drives act on them.',
            [[{ disease: 'anaphylaxis', severity: 0.8 }]],
            { maxItems: 8 },
          ),
        ),
        tuning: optional(
          Type.Unsafe<Record<string, number>>({
            type: 'object',
            description: 'Multipliers of the model’s uncertain constants (1 = default).',
            examples: [{ 'leak-size': 0.8 }],
            propertyNames: { pattern: '^[a-zA-Z][a-zA-Z0-9]*(?:-[a-z0-9]+)*$', maxLength: 64 },
            additionalProperties: Type.Number({
              description: 'Multiplier.',
              examples: [0.8],
              minimum: 0.1,
              maximum: 10,
            }),
            maxProperties: 40,
            'x-name': 'the tuning',
          }),
        ),
      },
      'the patient',
      'Who the patient is.',
    ),
    guidelines: list(
      ref('pack', 'Id of a guideline pack.', ['anaphylaxis-uk-2021']),
      'Guideline packs whose doses and targets fit; the first is the default.',
      [['anaphylaxis-uk-2021']],
      { minItems: 1, maxItems: 12 },
    ),
    objectives: list(
      shape(
        {
          id: id('Id of the objective.', ['adrenaline-first']),
          says: text(
            'What a learner does, in words that can be seen or heard.',
            ['Gives intramuscular adrenaline before any other drug'],
            300,
          ),
          'seen-by': shape(
            {
              target: optional(ref('target', 'Seen when this target is met.', ['first-adrenaline'])),
              state: optional(ref('state', 'Seen when this state is reached.', ['settling'])),
              question: optional(text('Asked in the debrief.', ['Who was leading, and how did you know?'], 300)),
            },
            'seen-by',
            'Where the debrief looks for it: exactly one of target, state, question.',
            [{ target: 'first-adrenaline' }],
          ),
        },
        'an objective',
        'One thing to be learnt.',
      ),
      'What it is for; two to five work best.',
      [],
      { minItems: 1, maxItems: 20 },
    ),
    prebrief: shape(
      {
        roles: optional(
          list(
            shape(
              {
                role: text('The role.', ['Team leader'], 80),
                says: text('What it means here.', ['You are the nurse in charge.'], 400),
              },
              'a role',
              'A role to give out.',
            ),
            'Roles to give out before the start.',
            [[{ role: 'Team leader', says: 'You are the nurse in charge.' }]],
          ),
        ),
        room: optional(lines('What is in the room and where.', [['Oxygen on the wall, masks in the top drawer.']])),
        real: optional(lines('What is real.', [['Drawing up, giving, phoning.']])),
        'not-real': optional(lines('What is not real, or works differently.', [['Skin signs are told, not shown.']])),
        'time-plan': optional(text('How long each part takes.', ['Prebrief 5 min, run 12 min, debrief 25 min.'], 300)),
        handover: text('What learners are told at the start.', [
          'Seven-year-old on a school trip, coughing since lunch.',
        ]),
      },
      'the prebrief',
      'One page read out before the start.',
    ),
    equipment: optional(
      lines('What to lay out.', [['Training syringes and needles', 'Non-rebreathe mask, child size']]),
    ),
    family: optional(
      list(
        shape(
          {
            who: text('Who.', ['Teacher'], 80),
            says: text('What they know and how they behave.', ['Frightened; knows of the sesame allergy if asked.']),
          },
          'a family member',
          'A person who can be asked.',
        ),
        'People who can be asked, and what they know.',
        [[{ who: 'Teacher', says: 'Knows of the sesame allergy if asked.' }]],
      ),
    ),
    handy: optional(
      list(
        ref('intervention', 'Id of an intervention.', ['adrenaline-im']),
        'Offered first on the console.',
        [['adrenaline-im']],
        { maxItems: 20 },
      ),
    ),
    start: optional(ref('state', 'The state the run starts in (with `states`).', ['arrival'])),
    states: optional(statesSchema()),
    threads: optional(
      named(threadSchema, 'Several state machines side by side, instead of `states`.', [], 'the threads'),
    ),
    'debrief-questions': optional(
      lines('Questions to open the debrief with.', [['What went through your mind when she stopped talking?']]),
    ),
    rehearsals: optional(
      list(
        shape(
          {
            name: text('A short name.', ['textbook'], 80),
            for: optional(
              duration('How long it runs; when left out, one minute past the last time it names, at least 10 min.', [
                '12 min',
              ]),
            ),
            does: optional(list(rehearsalAct, 'What the team does, in order.', [], { maxItems: 200 })),
            expect: list(expectation, 'What should come of it.', [[{ state: 'settling', by: '10:00' }]], {
              minItems: 1,
              maxItems: 50,
            }),
          },
          'a rehearsal',
          'The scenario’s own test: what a team does, and what should come of it.',
        ),
        'Tests the scenario carries: textbook care, nobody acts, the key step late.',
        [],
        { maxItems: 40 },
      ),
    ),
  },
  'a scenario',
  'A simulation scenario: patient, story, states, rehearsals. Training only, not for patient care.',
);

export type ScenarioDoc = Static<typeof scenarioSchema>;
export type StateDoc = Static<typeof stateSchema>;
export type ActDoc = Static<typeof rehearsalAct>;
export type ExpectationDoc = Static<typeof expectation>;
