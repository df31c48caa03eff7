/** Scores of the running model: they follow the illness, and agree with the names its patterns carry. */
import { describe, expect, it } from 'vitest';
import {
  SIGNS,
  buildPatient,
  createState,
  createVitals,
  readSign,
  readVitals,
  scoresOf,
  stepPatient,
  type IllnessSpec,
  type PatientProfile,
  type PatientScores,
  type ScoreId,
} from '../src/index.ts';

/** Scores of one untreated illness, every minute from the start. */
function course(ageYears: number, weightKg: number, illness: IllnessSpec, minutes: number): PatientScores[] {
  const profile: PatientProfile = { ageYears, weightKg, sex: 'female', illness: [illness] };
  const model = buildPatient(profile);
  const state = createState(model);
  const vitals = createVitals();
  const out: PatientScores[] = [];
  for (let minute = 0; minute <= minutes; minute++) {
    readVitals(model, state, vitals);
    const signs = Object.fromEntries(SIGNS.map((sign) => [sign, readSign(model, state, sign)]));
    out.push(scoresOf(profile, vitals, signs));
    for (let step = 0; step < 600; step++) stepPatient(model, state, 100);
  }
  return out;
}

const total = (at: PatientScores, id: ScoreId): number => {
  const score = at.scores.find((each) => each.score === id);
  if (score === undefined) throw new Error(`no ${id} among ${at.scores.map((each) => each.score).join()}`);
  if (!score.ok) throw new Error(score.because);
  return score.total;
};
const worst = (all: readonly PatientScores[], id: ScoreId): number =>
  Math.max(...all.filter((at) => at.scores.length > 0).map((at) => total(at, id)));

describe('scores of the running model', () => {
  it('asthma: the names of the patterns agree with PRAM (8 to 12 is severe, 0 to 3 mild)', () => {
    const of = (pattern: string) => worst(course(8, 26, { disease: 'asthma', pattern }, 20), 'pram');
    const [moderate, severe, life] = [of('moderate'), of('acute-severe'), of('life-threatening')];
    expect(moderate).toBeLessThan(severe);
    expect(severe).toBeLessThanOrEqual(life);
    expect(moderate).toBeLessThan(8);
    expect(life).toBeGreaterThanOrEqual(8);
  });

  it('anaphylaxis in a child: from well to emergency', () => {
    const all = course(8, 26, { disease: 'anaphylaxis', pattern: 'food' }, 14);
    expect(total(all[0]!, 'pews')).toBeLessThanOrEqual(1);
    expect(worst(all, 'pews')).toBeGreaterThanOrEqual(13);
    expect(worst(all, 'shock-index')).toBeGreaterThan(1);
  });

  it('opioid: consciousness goes and the adult score is high before any arrest', () => {
    const all = course(30, 70, { disease: 'opioid-toxicity' }, 8);
    expect(all[0]!.consciousness.letter).toBe('A');
    expect(all.map((at) => at.consciousness.letter)).toContain('U');
    expect(worst(all, 'news2')).toBeGreaterThanOrEqual(7);
  });

  it('the well score nothing that calls for help', () => {
    for (const [age, weight] of [
      [0.5, 7.5],
      [2, 12],
      [4, 16],
      [8, 26],
      [14, 50],
      [16, 58],
      [40, 70],
      [80, 65],
    ] as const) {
      const profile: PatientProfile = { ageYears: age, weightKg: weight, sex: 'male' };
      const model = buildPatient(profile);
      const state = createState(model);
      const { scores } = scoresOf(profile, readVitals(model, state, createVitals()), {});
      const early = scores[0]!;
      if (!early.ok) throw new Error(early.because);
      // At 8 to 12 years the median breathing rate (19) itself scores 1 on the national chart (20 to 24 scores 0).
      expect([age, early.total <= 1]).toEqual([age, true]);
    }
  });
});
