/** Rehearsals: timed acts and what should come of them. */
import { DEVICE_FAULTS, ROUTES } from '@breathline/patient';
import { Type, type Static } from '@sinclair/typebox';
import { conditionSchema, held, vitalComparison } from './condition.ts';
import { dosePlainOrPerKg, oneOf, optional, quantity, ref, shape, text } from './parts.ts';
import { DEVICES, moment } from './vocabulary.ts';

const RESULTS = [
  'met',
  'early',
  'late',
  'missed',
  'not-due',
  'not-recorded',
  'censored',
  'given-unverified',
  'given-wrong-dose',
  'contraindicated-given',
  'order-kept',
  'order-broken',
] as const;

export const rehearsalAct = shape(
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
    'device-use': optional(
      shape(
        {
          held: optional(quantity(['duration'], 'How long it was pressed on after the click.', ['1 s'], [0, 600_000])),
          'past-date': optional(quantity(['age'], 'How long past the date on its label.', ['20 months'], [0, 50])),
          fault: optional(oneOf(DEVICE_FAULTS, 'What went wrong with it.', 'a fault of an injector')),
        },
        'the use of a device',
        'How an automatic injector was used; left out: held long enough, in date, right way round.',
        [{ held: '1 s' }, { fault: 'misfire' }],
      ),
    ),
    assess: optional(ref('assessment', 'Make this assessment.', ['full-reassessment'])),
    attach: optional(oneOf(DEVICES, 'Attach this device.', 'a device')),
    force: optional(ref('state', 'Faculty force this state.', ['settling'])),
    thread: optional(ref('thread', 'The thread of the forced state.', ['main'])),
    faculty: optional(text('Faculty press the button of this label.', ['Senior arrives'], 80)),
    unless: optional(conditionSchema),
    'only-if': optional(conditionSchema),
  },
  'a rehearsal step',
  'One timed act: exactly one of give, assess, attach, force, faculty.',
  [{ at: '0:50', give: 'adrenaline-im', dose: 'as-pack' }],
);

export const expectation = Type.Union(
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

export type ActDoc = Static<typeof rehearsalAct>;
export type ExpectationDoc = Static<typeof expectation>;
