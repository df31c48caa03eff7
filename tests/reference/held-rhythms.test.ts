/** Rates at which faculty's rhythms are shown, and rates the picture calls very fast, against published cut-offs. */
import { describe, expect, it } from 'vitest';
import { CENTILES, RHYTHMS } from '@breathline/patient';
import { holdableRhythms } from '../../apps/web/src/lib/console/vitals.ts';
import { upperLimit } from '../../packages/debrief/src/timeline-danger.ts';

describe('rhythms laid over the patient', () => {
  // American Heart Association, Pediatric Advanced Life Support, tachycardia with a pulse: supraventricular tachycardia is
  // likely at 220 a minute or more in infants and 180 or more in children. From memory.
  it.each([
    [0.25, 220],
    [0.9, 220],
    [1, 180],
    [7, 180],
    [17, 180],
  ])('supraventricular tachycardia at %d years is at %d a minute or more', (ageYears, least) => {
    const svt = holdableRhythms(ageYears).find(({ label }) => label.startsWith('Supraventricular'))!;
    expect(svt.ratePerMin).toBeGreaterThanOrEqual(least);
    expect(svt.ratePerMin).toBeLessThan(300);
  });

  it('all have a pulse: one without comes by an arrest, which is asked about', () => {
    for (const { code } of [0.5, 7, 40].flatMap(holdableRhythms))
      expect(RHYTHMS.find((each) => each.code === code)).toMatchObject({ pulse: true });
  });
});

describe('rates the picture shades', () => {
  const value = (id: 'pulse' | 'breathing', ageYears: number) =>
    upperLimit(id, { ageYears, limits: { byVital: {} } as never }, null, []).upperLimit!.value;

  // Royal College of Physicians, National Early Warning Score 2, 2017: three points from 131 beats and from 25 breaths a minute.
  it('adults: just below where NEWS2 gives three points', () => {
    expect([value('pulse', 40), value('breathing', 40)]).toEqual([130, 24]);
  });

  // Fleming S et al. Lancet 2011;377:1011-18: the 99th centile of a child of 6 to 8 years is 123 beats and 27 breaths a minute,
  // from memory; that of any age is the last of the table the patient package holds.
  it('children: the 99th centile for age', () => {
    for (const ageYears of [0.1, 2, 7, 15]) {
      const band = CENTILES.find(({ toYears }) => ageYears < toYears)!;
      expect([value('pulse', ageYears), value('breathing', ageYears)]).toEqual([band.heart[4], band.breathing[4]]);
    }
    expect([value('pulse', 7), value('breathing', 7)]).toEqual([123, 27]);
  });
});
