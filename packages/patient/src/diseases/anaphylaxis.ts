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
  /** Minutes over which the reaction stops feeding itself; absent = it goes on for as long as nothing stops it. */
  readonly fadesMin?: number;
  /** A second release without a second exposure. */
  readonly returns?: {
    /** Minutes from the first signs to the second. */
    readonly afterMin: number;
    /** Strength of the second release over the first. */
    readonly size: number;
  };
  /** What makes adrenaline into muscle fail: less of it taken up, more of it needed, a faster leak. Factors of 1. */
  readonly stubborn?: { readonly uptake: number; readonly need: number; readonly leak: number };
}

/**
 * Strength of a second wave when an author asks for a return in a pattern that has none of its own, and how long a
 * first wave that will return goes on feeding itself, as a share of the wait and at most in minutes. Chosen here.
 */
export const RETURN_SIZE = 0.8;
export const RETURN_FADE = { share: 0.5, mostMin: 30 } as const;

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
  // Return without a second exposure in 192 of 4114 (4.7 %), median 11 h after the first, range 0.2 to 72 h: Lee S et al.
  // J Allergy Clin Immunol Pract 2015;3:408-16. A scenario sets its own, shorter wait. How strong it is: chosen here.
  biphasic: {
    says: 'Settles with treatment and comes back without a second exposure: 11 hours later, or when the author says.',
    onset: 0.2,
    triggerMin: 15,
    feedback: 0.14,
    weights: { bronchi: 1.3, upperAirway: 0.9, vessels: 0.85, skin: 1, gut: 0.7 },
    returns: { afterMin: 660, size: RETURN_SIZE },
  },
  // Respiratory or cardiovascular features that stay despite two appropriate intramuscular doses; the answer is a low-dose
  // infusion and fluid: Resuscitation Council UK, Emergency treatment of anaphylaxis, 2021. Why muscle doses fail (poor
  // flow through muscle, an emptied circulation) is accepted as likely; the sizes are chosen here.
  refractory: {
    says: 'Breathing and pressure stay bad after two good doses into muscle; answers an infusion with fluid.',
    onset: 0.3,
    triggerMin: 40,
    feedback: 0.16,
    weights: { bronchi: 1.2, upperAirway: 0.7, vessels: 0.85, skin: 0.7, gut: 0.5 },
    stubborn: { uptake: 0.35, need: 1.4, leak: 1.3 },
  },
  // Signs that go on for hours (over 5 h in earlier series; terms vary: Dribin TE et al. J Allergy Clin Immunol
  // 2020;146:1089-96, from memory).
  protracted: {
    says: 'Goes on for hours: each dose helps and wears off.',
    onset: 0.06,
    triggerMin: 300,
    feedback: 0.1,
    weights: { bronchi: 1.2, upperAirway: 0.9, vessels: 0.8, skin: 1, gut: 1 },
  },
};
