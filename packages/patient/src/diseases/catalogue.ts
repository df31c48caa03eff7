/** Every disease a profile may carry, with its patterns. */
import { ANAPHYLAXIS_PATTERNS } from './anaphylaxis.ts';
import { OTHER_DISEASES } from './patterns.ts';

export interface DiseaseSpec {
  readonly says: string;
  readonly usualPattern: string;
  readonly patterns: Readonly<Record<string, { readonly says: string }>>;
}

export const DISEASES: Readonly<Record<string, DiseaseSpec>> = {
  anaphylaxis: {
    says: 'Severe allergic reaction of skin, airway, breathing, circulation and gut.',
    usualPattern: 'food',
    patterns: ANAPHYLAXIS_PATTERNS,
  },
  ...OTHER_DISEASES,
};
