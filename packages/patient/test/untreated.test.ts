/**
 * Nobody in a severe course gets better by himself, in any pattern of any illness. Consciousness and saturation never rise; a
 * pressure that has fallen a tenth below the patient’s own never comes back. A pressure above the patient's own may go on
 * rising for a while: distress, lack of oxygen and high CO2 raise it until the heart fails (asphyxia, acute hypercapnia and
 * severe asthma all do; textbook), but never by more than a fifth.
 */
import { describe, expect, it } from 'vitest';
import { bundled } from './bundled.ts';
import type { PatientProfile } from '../src/index.ts';

const { DISEASES, SLOTS: X, buildPatient, createState, createVitals, readVitals, stepPatient } = await bundled();

const SIZES: Readonly<Record<string, readonly (readonly [age: number, kg: number])[]>> = {
  anaphylaxis: [
    [0.5, 7.5],
    [8, 26],
    [48, 82],
  ],
  asthma: [
    [8, 26],
    [30, 70],
  ],
  croup: [[2, 12]],
  bronchiolitis: [[0.12, 4.5]],
  'foreign-body': [
    [2, 12],
    [70, 75],
  ],
  pneumonia: [
    [4, 16],
    [66, 72],
  ],
  copd: [[68, 70]],
  'opioid-toxicity': [[30, 70]],
  pneumothorax: [
    [10, 32],
    [25, 75],
  ],
  'pulmonary-oedema': [[72, 75]],
};

const CASES = Object.keys(DISEASES).flatMap((disease) =>
  Object.keys(DISEASES[disease]!.patterns).flatMap((pattern) =>
    SIZES[disease]!.map(([age, kg]): [string, string, number, number] => [disease, pattern, age, kg]),
  ),
);

interface Minute {
  t: number;
  spo2: number;
  awake: number;
  mean: number;
  arrested: boolean;
  objectOut: boolean;
}

function untreated(who: PatientProfile, minutes: number): { own: number; ownSpo2: number; row: Minute[] } {
  const model = buildPatient(who);
  const s = createState(model);
  const v = createVitals();
  const row: Minute[] = [];
  for (let i = 0; i <= minutes * 600; i++) {
    if (i % 600 === 0) {
      readVitals(model, s, v);
      row.push({
        t: i / 600,
        spo2: v.spo2Percent,
        awake: v.consciousnessFraction,
        mean: v.meanMmHg,
        arrested: v.arrested > 0,
        objectOut: s[X.OBJECT_OUT]! > 0,
      });
    }
    stepPatient(model, s, 100);
  }
  return { own: model.p['map0']!, ownSpo2: 100 * model.p['sa0']!, row };
}

/** Worst of each run of five minutes, so that pauses in breathing between two breaths are not called recovery. */
function worstOfFive(row: readonly Minute[]): Minute[] {
  const out: Minute[] = [];
  for (let i = 0; i + 5 <= row.length; i += 5) {
    const five = row.slice(i, i + 5);
    out.push({
      ...five[4]!,
      spo2: Math.min(...five.map((m) => m.spo2)),
      awake: Math.min(...five.map((m) => m.awake)),
      mean: Math.min(...five.map((m) => m.mean)),
    });
  }
  return out;
}

describe('untreated, at its worst', () => {
  it('every pattern of every illness is here', () => {
    const all = Object.values(DISEASES).reduce((n, d) => n + Object.keys(d.patterns).length, 0);
    expect(new Set(CASES.map(([d, p]) => `${d} ${p}`)).size).toBe(all);
  });
  it.each(CASES)('%s, %s at %d years, %d kg', (disease, pattern, ageYears, weightKg) => {
    const { own, ownSpo2, row } = untreated(
      { ageYears, weightKg, sex: 'male', illness: [{ disease, pattern, severity: 1 }] },
      60,
    );
    const stop = row.findIndex((m) => m.arrested);
    if (stop >= 0) for (const m of row.slice(stop)) expect(m.arrested, `back by itself at ${m.t} min`).toBe(true);
    // A partial block may be coughed out: the law holds until it is, and must not hold for good.
    const out = row.findIndex((m) => m.objectOut);
    let seen = stop >= 0 ? row.slice(0, stop) : row;
    if (out >= 0) seen = seen.slice(0, out);
    expect(out >= 0).toBe(pattern === 'laryngeal-partial');
    if (pattern === 'with-apnoea') seen = worstOfFive(seen);
    for (let i = 1; i < seen.length; i++) {
      const a = seen[i - 1]!;
      const b = seen[i]!;
      const at = `at ${b.t} min`;
      // Faster breathing lifts the saturation of a lung not yet ill by some tenths.
      if (pattern !== 'with-apnoea' && a.spo2 < ownSpo2 - 0.5)
        expect(b.spo2, `saturation ${at}`).toBeLessThanOrEqual(a.spo2 + 0.15);
      expect(b.awake, `consciousness ${at}`).toBeLessThanOrEqual(a.awake + (pattern === 'with-apnoea' ? 0.2 : 0.002));
      if (a.mean < 0.9 * own) expect(b.mean, `pressure ${at}`).toBeLessThanOrEqual(a.mean + 0.3);
      expect(b.mean, `pressure ${at}`).toBeLessThanOrEqual(1.2 * own);
    }
    if (pattern === 'with-apnoea') {
      // Between pauses the infant may look better; never better than at the start.
      expect(Math.max(...row.slice(31).map((m) => m.spo2))).toBeLessThanOrEqual(ownSpo2 - 2);
      expect(Math.min(...row.map((m) => m.spo2))).toBeLessThan(85);
    }
  });
});
