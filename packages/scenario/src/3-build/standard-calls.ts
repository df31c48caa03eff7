/**
 * Whom a team can call where a scenario names nobody. Jobs that most places have; delays and words are teaching values,
 * common practice, no source. A site or a scenario writes its own.
 */
import type { CallContact } from '../types.ts';

const ASKS = ['Where exactly are you?', 'How old is the patient, and what weight?', 'What have you given, and when?'];

export const STANDARD_CALLS: readonly CallContact[] = [
  {
    id: 'emergency-team',
    title: 'The emergency team (the number for a patient in danger)',
    picksUp: 'Switchboard, at once',
    answersAfterMs: 10_000,
    asks: ['Adult, child or baby?', 'Where exactly are you?'],
    does: 'Puts out the call and reads it back. A doctor and a nurse come with the emergency trolley.',
    arrivesAfterMs: 180_000,
  },
  {
    id: 'senior-doctor',
    title: 'The senior doctor on call',
    picksUp: 'The senior doctor, busy but listening',
    answersAfterMs: 40_000,
    asks: ASKS,
    does: 'Asks what worries you most and what you want of them, agrees a plan, and comes.',
    arrivesAfterMs: 420_000,
  },
  {
    id: 'anaesthetist',
    title: 'The anaesthetist or intensive care doctor',
    picksUp: 'The doctor with the on-call phone',
    answersAfterMs: 30_000,
    asks: ['Is the airway safe now?', ...ASKS],
    does: 'Says what to have ready, and comes.',
    arrivesAfterMs: 480_000,
  },
  {
    id: 'ambulance',
    title: 'An ambulance (from outside a hospital)',
    picksUp: 'The call handler, with set questions',
    answersAfterMs: 15_000,
    asks: ['Is the patient awake and breathing?', 'Where exactly are you?', 'Is there a defibrillator nearby?'],
    does: 'Stays on the line and talks the caller through what to do. A crew is on its way.',
    arrivesAfterMs: 600_000,
  },
  {
    id: 'ward',
    title: 'The ward or unit that will take the patient',
    picksUp: 'The nurse in charge',
    answersAfterMs: 30_000,
    asks: ['What do you think it is?', 'What is still to be done?', 'How long will the patient need watching?'],
    does: 'Reads the handover back and says when a bed is ready. Nobody comes.',
  },
  {
    id: 'pharmacy',
    title: 'Pharmacy',
    picksUp: 'The pharmacist on call',
    answersAfterMs: 60_000,
    asks: ['Which drug, which strength, for what weight?'],
    does: 'Checks the dose aloud with you and says where stock is kept. Nobody comes.',
  },
];
