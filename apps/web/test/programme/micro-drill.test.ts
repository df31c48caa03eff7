/** Micro-drills: the answer follows from the pack and the patient drawn; every seed gives a sane question. */
import path from 'node:path';
import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { buildLibrary, suggestDose, type Library } from '@breathline/scenario';
import { ageText, checkVolume, drawnUp, likelyWeightKg, microDrill } from '../../src/lib/programme/micro-drill.ts';

const ROOT = path.resolve(import.meta.dirname, '../../../../scenarios');
const texts = (folder: string) =>
  readdirSync(path.join(ROOT, folder))
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({
      file: `${folder}/${file}`,
      text: readFileSync(path.join(ROOT, folder, file), 'utf8'),
    }));
const built = buildLibrary({ formularies: texts('formulary'), packs: texts('guidelines') });
if (!built.ok) throw new Error(JSON.stringify(built.errors));
const library: Library = built.value;

it('every seed of every pack: the pack’s own dose for the patient drawn, a weight one could meet, a volume one can draw', () => {
  let asked = 0;
  for (const { id } of library.packs) {
    for (let seed = 1; seed <= 60; seed++) {
      const drill = microDrill(library, id, seed);
      if (drill === null) {
        expect([id, seed, drawnUp(library, id).map((one) => one.id)]).toEqual([id, seed, []]);
        continue;
      }
      asked += 1;
      const { ageYears, weightKg, intervention, dose } = drill;
      expect(dose).toEqual(suggestDose({ library, packId: id, intervention: intervention.id, ageYears, weightKg }));
      expect(dose.packId).toBe(id);
      expect(weightKg).toBeGreaterThan(2.5);
      expect(weightKg / likelyWeightKg(ageYears)).toBeGreaterThan(0.7);
      expect(weightKg / likelyWeightKg(ageYears)).toBeLessThan(1.35);
      expect(dose.text).toContain('mL');
      expect(microDrill(library, id, seed)).toEqual(drill);
      expect(checkVolume(drill, dose.volumeMl).verdict).toBe('right');
      expect(checkVolume(drill, (dose.volumeHighMl ?? dose.volumeMl) * 10).verdict).toBe('tenfold-high');
      expect(checkVolume(drill, dose.volumeMl / 12).verdict).not.toBe('right');
    }
  }
  expect(asked).toBeGreaterThan(300);
});

it('different seeds ask different questions', () => {
  const questions = Array.from({ length: 40 }, (_, seed) => {
    const drill = microDrill(library, 'anaphylaxis-uk-2021', seed + 1)!;
    return `${drill.intervention.id} ${drill.ageYears} ${drill.weightKg}`;
  });
  expect(new Set(questions).size).toBeGreaterThan(30);
});

it('ages in words', () => {
  expect([0.25, 1 / 12, 1, 7].map(ageText)).toEqual(['3 months', '1 month', '1 year', '7 years']);
});
