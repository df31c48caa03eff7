/** What a stethoscope hears, in plain words by side. Pure. The bounds are our own (common practice, no source). */
import type { ChestSounds, ChestSide } from '@breathline/protocol';

const HEARD = 0.15;
const LOUD = 0.6;

/** "Good air entry", "Air entry reduced, loud wheeze", "Nothing heard". */
export function sideWords(side: ChestSide): string {
  const { airEntry, wheeze, crackles } = side;
  if (airEntry < 0.08) return 'Nothing heard';
  const parts = [airEntry < 0.35 ? 'Air entry very poor' : airEntry < 0.7 ? 'Air entry reduced' : 'Good air entry'];
  if (wheeze >= HEARD) parts.push(wheeze >= LOUD ? 'loud wheeze' : 'wheeze');
  if (crackles >= HEARD) parts.push(crackles >= LOUD ? 'many crackles' : 'crackles');
  return parts.join(', ');
}

/** Stridor comes from above and is heard over both sides. */
export function stridorWords(chest: ChestSounds): string | null {
  return chest.stridor < HEARD ? null : chest.stridor >= LOUD ? 'Loud stridor' : 'Stridor';
}
