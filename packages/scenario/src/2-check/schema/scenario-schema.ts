/** The scenario file as its author writes it. */
import { Type, type Static, type TOptional, type TString } from '@sinclair/typebox';
import { BASELINES, VITALS } from '../../words/vitals.ts';
import { arrestSchema, behavioursSchema, callsSchema, exhibitsSchema, familySchema } from './around-schema.ts';
import { id, list, named, oneOf, optional, quantity, ref, shape, text, version } from './parts.ts';
import { expectation, rehearsalAct } from './rehearsal-schema.ts';
import { statesSchema } from './state-schema.ts';
import { duration, POSTURES } from './vocabulary.ts';

const lines = (description: string, examples: readonly string[][]) =>
  list(text('One line.', [examples[0]?.[0] ?? 'A line'], 600), description, examples, { maxItems: 60 });

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
        // As far as the patient model goes; `patient-cannot-be` says so should the two ever differ.
        age: quantity(['age'], 'Age.', ['7 years', '9 months'], [0, 110]),
        weight: quantity(['weight'], 'True weight.', ['23 kg'], [1.5, 250]),
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
        begun: optional(
          quantity(
            ['duration'],
            'How long the illness has been under way at the start: the model runs this long under the start states’ drives before time zero. Just beginning when left out.',
            ['3 min'],
            [0, 21_600_000],
          ),
        ),
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
                'returns-after': optional(
                  quantity(
                    ['duration'],
                    'Anaphylaxis only: how long after the first signs it comes back without a second exposure. Published: 11 h in the middle, 12 min to 72 h; shorten it to fit the session.',
                    ['25 min'],
                    [1 * 60_000, 72 * 3_600_000],
                  ),
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
    family: optional(familySchema),
    calls: optional(callsSchema),
    exhibits: optional(exhibitsSchema),
    behaviours: optional(behavioursSchema),
    arrest: optional(arrestSchema),
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
