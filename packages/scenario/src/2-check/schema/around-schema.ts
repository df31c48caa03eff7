/** What a scenario says of those around the patient: family, people to call, things to show, behaviours to watch for. */
import { Type } from '@sinclair/typebox';
import { id, list, oneOf, optional, quantity, shape, text } from './parts.ts';

/** In the order of the numbers that the engine keeps: 0 to 3. */
export const DISTRESS = ['calm', 'worried', 'distressed', 'in-the-way'] as const;

const wait = (description: string, example: string) => quantity(['duration'], description, [example], [0, 3_600_000]);

export const familySchema = list(
  shape(
    {
      who: text('Who.', ['Teacher'], 80),
      says: text('What they know and how they behave.', ['Frightened; knows of the sesame allergy if asked.']),
      distress: optional(oneOf(DISTRESS, 'How they are at the start; calm when left out.', 'a degree of distress')),
      history: optional(
        list(
          shape(
            {
              id: id('Id of the piece.', ['what-she-ate']),
              'if-asked': text('What somebody has to ask.', ['What she had for lunch'], 200),
              says: text('What they then say.', ['“Hummus, from another child’s box.”'], 600),
            },
            'a piece of history',
            'Told only if asked.',
            [{ id: 'what-she-ate', 'if-asked': 'What she had for lunch', says: '“Hummus.”' }],
          ),
          'History that is told only if somebody asks.',
          [[{ id: 'what-she-ate', 'if-asked': 'What she had for lunch', says: '“Hummus.”' }]],
          { maxItems: 40 },
        ),
      ),
      worries: optional(
        list(
          shape(
            {
              id: id('Id of the worry.', ['too-quiet']),
              says: text('How they say it.', ['“She’s gone quiet. She is never quiet.”'], 400),
              why: text('Why the team should heed it.', ['She is tiring before the numbers show it.'], 400),
            },
            'a worry',
            'Something they see that the team should heed.',
            [{ id: 'too-quiet', says: '“She’s gone quiet.”', why: 'She is tiring.' }],
          ),
          'Worries they voice, and why each should be heeded.',
          [[{ id: 'too-quiet', says: '“She’s gone quiet.”', why: 'She is tiring.' }]],
          { maxItems: 20 },
        ),
      ),
    },
    'a family member',
    'A person who can be asked.',
  ),
  'People who can be asked, and what they know.',
  [[{ who: 'Teacher', says: 'Knows of the sesame allergy if asked.' }]],
);

export const callsSchema = list(
  shape(
    {
      id: id('Id of the contact.', ['childrens-registrar']),
      title: text('Whom the team asks for; a job, not a name.', ['The children’s doctor on call'], 120),
      'picks-up': text('Who answers, in words.', ['The registrar, walking between wards'], 200),
      'answers-after': wait('From dialling to an answer.', '30 s'),
      asks: optional(
        list(text('One question.', ['How old, and what weight?'], 200), 'What they ask before they act.', [
          ['How old, and what weight?'],
        ]),
      ),
      does: text('What they say and do.', ['Tells the team to repeat the dose, and comes.'], 600),
      'arrives-after': optional(wait('From the answer to the bedside; left out, they do not come.', '5 min')),
    },
    'a contact',
    'Somebody who can be called. Calls are simulated, and say so.',
    [
      {
        id: 'childrens-registrar',
        title: 'The children’s doctor on call',
        'picks-up': 'The registrar',
        'answers-after': '30 s',
        does: 'Comes.',
        'arrives-after': '5 min',
      },
    ],
  ),
  'Whom the team can call. Left out, a short list that fits most sites; `[]` for nobody.',
  [
    [
      {
        id: 'childrens-registrar',
        title: 'The children’s doctor on call',
        'picks-up': 'The registrar',
        'answers-after': '30 s',
        does: 'Comes.',
      },
    ],
  ],
  { maxItems: 30 },
);

export const exhibitsSchema = list(
  shape(
    {
      id: id('Id of the thing shown.', ['chest-film']),
      title: text('What learners see above it: must not give the diagnosis away.', ['Chest X-ray'], 120),
      kind: oneOf(['x-ray', 'ecg', 'photograph', 'document', 'appearance'], 'What it is.', 'a kind of exhibit'),
      text: text('What it shows or says, for those who can not see the picture; read out as it stands.', [
        'Both lungs full of air, flat diaphragms, no shadow.',
      ]),
      picture: optional(
        Type.String({
          description: 'A picture in the folder `exhibits`, by file name.',
          examples: ['chest-film.png'],
          pattern: '^[a-z0-9][a-z0-9_-]{0,79}\\.(?:png|jpe?g|webp|svg)$',
          maxLength: 90,
          'x-form': 'a file name ending in .png, .jpg, .webp or .svg',
        }),
      ),
    },
    'an exhibit',
    'Something learners can be shown.',
    [{ id: 'chest-film', title: 'Chest X-ray', kind: 'x-ray', text: 'Both lungs full of air.' }],
  ),
  'What faculty can put on the learners’ results screen.',
  [[{ id: 'chest-film', title: 'Chest X-ray', kind: 'x-ray', text: 'Both lungs full of air.' }]],
  { maxItems: 60 },
);

export const behavioursSchema = list(
  shape(
    {
      id: id('Id of the behaviour.', ['reads-back']),
      says: text('Something that can be seen or heard.', ['Reads back each dose before giving it'], 300),
    },
    'a behaviour',
    'One thing an observer looks out for.',
    [{ id: 'reads-back', says: 'Reads back each dose before giving it' }],
  ),
  'What observers tick on their own phones: seen, partly, not seen. Six or so are enough for one pair of eyes.',
  [[{ id: 'reads-back', says: 'Reads back each dose before giving it' }]],
  { maxItems: 40 },
);

export const arrestSchema = oneOf(
  ['ask-faculty', 'as-model'],
  'Whether the model may let the heart stop by itself. `ask-faculty` (so too when left out) holds the patient at the brink until faculty allow it; `as-model` lets it come where faculty have ticked in the prebrief that it may, and asks where they have not. Rehearsals allow it.',
  'an arrest rule',
);
