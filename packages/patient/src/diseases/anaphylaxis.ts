/**
 * Anaphylaxis as one reaction reaching several organs with their own weights. All rates per minute; every number here
 * is a choice of this model, shaped so that untreated time to collapse keeps the published order (food slowest, venom,
 * then drug given into a vein: Pumphrey RS. Clin Exp Allergy 2000;30:1144-50, medians 30, 15, 5 min, from memory).
 */
export interface AnaphylaxisPattern {
  readonly says: string;
  /** How fast driven release raises mediator activity. */
  readonly onset: number;
  /** Time constant of the pattern's own trigger, minutes. */
  readonly triggerMin: number;
  /** Self-amplification. */
  readonly feedback: number;
  readonly weights: {
    readonly bronchi: number;
    readonly upperAirway: number;
    readonly vessels: number;
    readonly skin: number;
    readonly gut: number;
  };
}

export const ANAPHYLAXIS_PATTERNS: Readonly<Record<string, AnaphylaxisPattern>> = {
  food: {
    says: 'Swallowed allergen: slower; breathing leads, gut signs, pressure falls late.',
    onset: 0.16,
    triggerMin: 20,
    feedback: 0.12,
    weights: { bronchi: 1.6, upperAirway: 0.9, vessels: 0.66, skin: 1, gut: 1 },
  },
  venom: {
    says: 'Sting: fast; pressure falls first, breathing less affected.',
    onset: 0.25,
    triggerMin: 6,
    feedback: 0.2,
    weights: { bronchi: 0.6, upperAirway: 0.6, vessels: 0.9, skin: 0.8, gut: 0.5 },
  },
  'iv-drug': {
    says: 'Drug into a vein: collapse within minutes, often with little rash.',
    onset: 0.9,
    triggerMin: 6,
    feedback: 0.5,
    weights: { bronchi: 1, upperAirway: 0.6, vessels: 1, skin: 0.4, gut: 0.2 },
  },
  'airway-led': {
    says: 'Throat swelling and wheeze with a pressure that holds until late.',
    onset: 0.35,
    triggerMin: 6,
    feedback: 0.25,
    weights: { bronchi: 1.6, upperAirway: 1, vessels: 0.5, skin: 0.8, gut: 0.4 },
  },
  'no-rash': {
    says: 'As food, without skin signs (about one case in five to ten).',
    onset: 0.12,
    triggerMin: 20,
    feedback: 0.12,
    weights: { bronchi: 1.4, upperAirway: 0.9, vessels: 1, skin: 0, gut: 1 },
  },
};
