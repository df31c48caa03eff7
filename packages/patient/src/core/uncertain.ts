/** One constant nobody knows well: its id, what it does, and how far it may reasonably be off (multipliers of 1). */
export interface UncertainConstant {
  readonly id: string;
  readonly what: string;
  readonly low: number;
  readonly high: number;
  readonly source: string;
}

export const UNCERTAIN: readonly UncertainConstant[] = [
  {
    id: 'leak-size',
    what: 'Most plasma that a severe reaction can move out of the circulation (38 % of blood volume at 1).',
    low: 0.6,
    high: 1.1,
    source:
      'Fisher MM. Anaesth Intensive Care 1986;14:17-21 (own denominator not seen); animal work 23-38 % of blood volume.',
  },
  {
    id: 'adrenaline-potency',
    what: 'Plasma adrenaline that gives half effect (1 ng/mL at 1; larger = weaker).',
    low: 0.5,
    high: 2,
    source:
      'Pinned so effect shows 1-3 min after an intramuscular dose; plasma data in well children, Simons FER et al. J Allergy Clin Immunol 1998;101:33-7.',
  },
  {
    id: 'adrenaline-delay',
    what: 'Speed at which tissue follows plasma adrenaline.',
    low: 0.6,
    high: 1.6,
    source: 'Chosen here; no published value found.',
  },
  {
    id: 'adrenaline-opposition',
    what: 'How much a strongly driven reaction raises the adrenaline needed.',
    low: 0,
    high: 1.6,
    source: 'Functional antagonism in receptor pharmacology; size chosen here.',
  },
  {
    id: 'perfusion-limited-uptake',
    what: 'How far poor output slows uptake from muscle.',
    low: 0,
    high: 1,
    source: 'Chosen here; direction accepted, size unknown.',
  },
  { id: 'heart-rate-response', what: 'Reflex rise of heart rate.', low: 0.6, high: 1.2, source: 'Chosen here.' },
  {
    id: 'relative-bradycardia',
    what: 'Slowing of the heart in adult sting shock (0 = none).',
    low: 0,
    high: 2,
    source:
      'Brown SGA et al. Emerg Med J 2004;21:149-54, doi 10.1136/emj.2003.009449: seen in all hypotensive adults of a sting-challenge study.',
  },
  { id: 'feedback', what: 'Self-amplification of mediator release.', low: 0.6, high: 1.4, source: 'Chosen here.' },
  {
    id: 'fatigue',
    what: 'Speed of breathing-muscle fatigue.',
    low: 0.5,
    high: 1.6,
    source: 'Chosen here; no published constant.',
  },
  {
    id: 'arrest-debt',
    what: 'Speed at which lack of oxygen or pressure stops the heart.',
    low: 0.6,
    high: 1.5,
    source: 'Chosen here; no published constant.',
  },
  {
    id: 'lung-volume',
    what: 'Resting lung gas, and with it the time to desaturate.',
    low: 0.75,
    high: 1.25,
    source: 'Fitted to Patel R et al. Can J Anaesth 1994;41:771-4.',
  },
  {
    id: 'mismatch',
    what: 'Blood passing poorly ventilated lung for a given bronchospasm.',
    low: 0.6,
    high: 1.4,
    source:
      'Chosen here; inert-gas studies in acute severe asthma show much low V/Q and little true shunt (from memory).',
  },
  {
    id: 'oxygen-drive',
    what: 'Ventilation that a chronic retainer loses on rich oxygen.',
    low: 0,
    high: 1.6,
    source:
      'Aubier M et al. Am Rev Respir Dis 1980;122:747-54 (from memory: about a fifth at first, most of it regained).',
  },
  {
    id: 'oxygen-dead-space',
    what: 'Dead space that rich oxygen adds in a chronic retainer.',
    low: 0.5,
    high: 1.5,
    source:
      'Aubier 1980; Robinson TD et al. Am J Respir Crit Care Med 2000;161:1524-9 (both from memory); size chosen here.',
  },
];
