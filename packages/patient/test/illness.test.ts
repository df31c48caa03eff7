/** Laws for every illness other than anaphylaxis: balances, order, step size, copies, doses. */
import { describe, expect, it } from 'vitest';
import type { PatientInput, PatientModel, PatientProfile, PatientState, VitalId } from '../src/index.ts';
import { bundled } from './bundled.ts';
import { drive, fluid } from './helpers.ts';

const {
  DISEASES,
  DISEASE_ORDER,
  DRIVES,
  SLOTS: X,
  applyInput,
  bloodGas,
  buildPatient,
  copyState,
  createState,
  createVitals,
  explain,
  ledgers: { bloodOxygen, lungOxygen },
  readFindings,
  readVitals,
  standardBaseExcess,
  stepPatient,
  touchedState,
} = await bundled();

const AGES: Readonly<Record<string, readonly [number, number]>> = {
  asthma: [8, 26],
  croup: [2, 12],
  bronchiolitis: [0.12, 4.5],
  'foreign-body': [2, 12],
  pneumonia: [66, 72],
  copd: [68, 70],
  'opioid-toxicity': [30, 70],
  pneumothorax: [25, 75],
  'pulmonary-oedema': [72, 75],
};

const ALL: readonly [disease: string, pattern: string][] = DISEASE_ORDER.flatMap((d) =>
  Object.keys(DISEASES[d]!.patterns).map((p): [string, string] => [d, p]),
);

function who(disease: string, pattern: string, severity = 1, startedMinutesAgo = 0): PatientProfile {
  const [ageYears, weightKg] = AGES[disease]!;
  return { ageYears, weightKg, sex: 'male', illness: [{ disease, pattern, severity, startedMinutesAgo }] };
}

function begin(profile: PatientProfile): [PatientModel, PatientState] {
  const model = buildPatient(profile);
  return [model, createState(model)];
}

const CARE: readonly [number, PatientInput][] = [
  [6, { kind: 'oxygen', device: 'non-rebreathe-mask', flowLPerMin: 15 }],
  [8, { kind: 'dose', effect: 'salbutamol', route: 'neb', amount: 5, overMs: 480_000 }],
  [9, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 100, overMs: 300_000 }],
  [12, { kind: 'oxygen', device: 'cpap', fio2Fraction: 0.5 }],
  [15, { kind: 'procedure', procedure: 'breaths-given', on: true }],
  [17, { kind: 'procedure', procedure: 'chest-drain', on: true, site: 'right' }],
  [19, { kind: 'procedure', procedure: 'cpr', on: true }],
  [21, { kind: 'dose', effect: 'naloxone', route: 'iv', amount: 400 }],
];

describe('balances, each illness with much done to it', () => {
  it.each(ALL)('%s, %s: oxygen and CO2 to 1e-6 mL, with what clamps took on the ledger', (disease, pattern) => {
    const [model, s] = begin(who(disease, pattern));
    const lung = () => lungOxygen(s, s[X.L_FRC]!, s[X.L_LOW]!);
    const carbon = () => 0.12 * model.p['weight']! * s[X.PA_CO2]! + (model.p['vco2']! / 4) * s[X.PT_CO2]!;
    s[X.LEDGER] = 1;
    stepPatient(model, s, 100);
    for (let i = X.L_O2_IN; i <= X.L_CO2_CLAMPED; i++) s[i] = 0;
    s[X.L_O2_LAG] = 0;
    const lung0 = lung();
    const blood0 = 7.5 * s[X.L_BV]! * s[X.CV_O2]!;
    const carbon0 = carbon();
    let next = 0;
    for (let i = 1; i < 24 * 600; i++) {
      while (next < CARE.length && CARE[next]![0] * 600 <= i) applyInput(model, s, CARE[next++]![1]);
      stepPatient(model, s, 100);
    }
    const moved = s[X.L_O2_IN]! + s[X.L_O2_USED]!;
    expect(moved).toBeGreaterThan(100);
    const blood = 7.5 * s[X.L_BV]! * s[X.CV_O2]!;
    // Whole body: what came in, less what was used, is what the stores gained; size changes and clamps are written down.
    const gained = lung() - lung0 + blood - blood0;
    const accounted =
      s[X.L_O2_IN]! -
      s[X.L_O2_USED]! +
      s[X.L_O2_RESIZED]! +
      s[X.L_O2_BLOOD_RESIZED]! +
      s[X.L_O2_CLAMPED]! -
      s[X.L_O2_LAG]!;
    expect(Math.abs(gained - accounted)).toBeLessThan(1e-6);
    // What left the lungs is what the blood took up.
    expect(Math.abs(s[X.L_O2_LUNG_TO_BLOOD]! - s[X.L_O2_TO_BLOOD]!)).toBeLessThan(1e-6);
    // The implicit step's slip is small beside what moved.
    expect(Math.abs(s[X.L_O2_LAG]!)).toBeLessThan(0.002 * moved);
    const madeLessOut = s[X.L_CO2_MADE]! - s[X.L_CO2_OUT]! + s[X.L_CO2_CLAMPED]!;
    expect(Math.abs(carbon() - carbon0 - madeLessOut)).toBeLessThan(1e-6);
    expect(bloodOxygen(s)).toBeGreaterThan(0);
  });
  it('the ledger changes nothing it watches', () => {
    const [model, a] = begin(who('asthma', 'life-threatening'));
    const b = copyState(a);
    b[X.LEDGER] = 1;
    for (let i = 0; i < 6000; i++) {
      stepPatient(model, a, 100);
      stepPatient(model, b, 100);
    }
    for (let i = 0; i < X.LEDGER; i++) if (a[i] !== b[i]) expect.fail(`slot ${i} differs`);
  });
  it('volume in sepsis adds up to 1e-9 L', () => {
    const [model, s] = begin(who('pneumonia', 'septic', 1, 20));
    const start = s[X.BV]! + s[X.LEAKED]!;
    applyInput(model, s, fluid(1000, 10));
    for (let i = 0; i < 40 * 600; i++) stepPatient(model, s, 100);
    const given = s[X.FLUID_IN]! / 1000;
    const left = given - s[X.VI]!;
    expect(s[X.LEAKED]!).toBeGreaterThan(0.1);
    expect(Math.abs(s[X.BV]! + s[X.LEAKED]! - (start + given - 0.75 * left))).toBeLessThan(1e-9);
  });
});

describe('untreated', () => {
  // A cough may bring up a partial block, an opioid fades if the patient lives: both are the point of those patterns.
  const lasting = ALL.filter(([d, p]) => d !== 'opioid-toxicity' && p !== 'laryngeal-partial' && p !== 'with-apnoea');
  it.each(lasting)('%s, %s never improves, and nobody returns from arrest', (disease, pattern) => {
    const [model, s] = begin(who(disease, pattern, 1, 30));
    const v = createVitals();
    let stopped = false;
    let before = { ...readVitals(model, s, v) };
    for (let t = 5; t <= 90; t += 5) {
      for (let i = 0; i < 3000; i++) stepPatient(model, s, 100);
      readVitals(model, s, v);
      if (stopped) expect(v.arrested).toBe(1);
      else {
        expect(v.spo2Percent, `${t} min`).toBeLessThanOrEqual(before.spo2Percent + 0.4);
        expect(v.consciousnessFraction, `${t} min`).toBeLessThanOrEqual(before.consciousnessFraction + 0.01);
        expect(v.meanMmHg, `${t} min`).toBeLessThanOrEqual(before.meanMmHg + 4);
      }
      stopped = v.arrested > 0;
      before = { ...v };
    }
  });
  it.each(ALL)('%s, %s: more severe never does better', (disease, pattern) => {
    const results = [0.35, 0.6, 0.8, 1].map((severity) => {
      const [model, s] = begin(who(disease, pattern, severity, 10));
      const v = createVitals();
      let arrest = Infinity;
      let below = 0;
      let least = 1;
      for (let i = 0; i < 60 * 600; i++) {
        stepPatient(model, s, 100);
        if (i % 10) continue;
        readVitals(model, s, v);
        if (v.arrested && arrest === Infinity) arrest = i / 600;
        if (v.spo2Percent < 94) below++;
        least = Math.min(least, v.consciousnessFraction);
      }
      return { arrest, below, least };
    });
    for (let i = 1; i < results.length; i++) {
      const worse = results[i]!;
      const better = results[i - 1]!;
      expect(worse.arrest).toBeLessThanOrEqual(better.arrest);
      expect(worse.below).toBeGreaterThanOrEqual(better.below);
      expect(worse.least).toBeLessThanOrEqual(better.least + 1e-6);
    }
  });
});

describe('time', () => {
  it.each(ALL)('%s, %s: halving the step moves no event by a second and no vital by 1 %%', (disease, pattern) => {
    const model = buildPatient(who(disease, pattern, 1, 5));
    const coarse = createState(model);
    const fine = createState(model);
    const a = createVitals();
    const b = createVitals();
    const events = (dt: number, s: PatientState) => {
      const found: Record<string, number> = {};
      const note = (id: string, t: number) => {
        if (!(id in found)) found[id] = t;
      };
      for (let i = 0; i * dt < 50 * 60000; i++) {
        stepPatient(model, s, dt);
        readVitals(model, s, a);
        const t = ((i + 1) * dt) / 1000;
        if (a.spo2Percent < 90) note('below 90 %', t);
        if (a.consciousnessFraction < 0.5) note('half awake', t);
        if (a.arrested) {
          note('arrest', t);
          break;
        }
        if (s[X.PAUSE_COUNT]! >= 1) note('first pause', t);
        if (s[X.PAUSE_COUNT]! >= 6) note('sixth pause', t);
      }
      return found;
    };
    const slow = events(100, copyState(coarse));
    const quick = events(50, copyState(fine));
    expect(Object.keys(slow).sort()).toEqual(Object.keys(quick).sort());
    for (const id of Object.keys(slow)) expect(Math.abs(slow[id]! - quick[id]!), id).toBeLessThan(1);
    // Vitals side by side until shortly before an arrest; while a pause begins or ends they are events.
    const until = Math.min(slow['arrest'] ?? Infinity, 20 * 60) - 60;
    const usual: Partial<Record<VitalId, number>> = {
      heartRatePerMin: 100,
      spo2Percent: 97,
      meanMmHg: 75,
      paco2MmHg: 40,
      respiratoryRatePerMin: 25,
    };
    if (pattern === 'with-apnoea' || disease === 'foreign-body') return;
    for (let i = 0; i < until * 10; i++) {
      stepPatient(model, coarse, 100);
      stepPatient(model, fine, 50);
      stepPatient(model, fine, 50);
      if (i % 100) continue;
      readVitals(model, coarse, a);
      readVitals(model, fine, b);
      for (const id of Object.keys(usual) as VitalId[])
        expect(Math.abs(a[id] - b[id]), `${id} at ${i / 10} s`).toBeLessThanOrEqual(0.01 * usual[id]!);
    }
  });
  it('a copy pauses at the same moments', () => {
    const [model, a] = begin(who('bronchiolitis', 'with-apnoea', 1, 20));
    const b = copyState(a);
    for (let i = 0; i < 9000; i++) stepPatient(model, a, 100);
    for (let i = 0; i < 9000; i++) stepPatient(model, b, 100);
    expect(a[X.PAUSE_COUNT]!).toBeGreaterThan(3);
    expect(b).toEqual(a);
  });
});

describe('drives', () => {
  it.each(DISEASE_ORDER.map((d) => [d]))('%s: a drive runs it in a patient who had none, and 0 ends it', (disease) => {
    const id = disease === 'opioid-toxicity' ? 'opioid' : disease;
    expect(Object.keys(DRIVES)).toContain(id);
    const [ageYears, weightKg] = AGES[disease]!;
    const model = buildPatient({ ageYears, weightKg, sex: 'male' });
    const s = createState(model);
    expect(touchedState(s).length).toBe(X.ILLNESS_BASE);
    applyInput(model, s, drive(id, disease === 'foreign-body' ? 1 : 0.9, 0));
    const rest = copyState(s);
    for (let i = 0; i < 600; i++) stepPatient(model, s, 100);
    expect(readVitals(model, s, createVitals())).not.toEqual(readVitals(model, rest, createVitals()));
    applyInput(model, s, drive(id, 0, 0));
    applyInput(model, s, { kind: 'procedure', procedure: 'chest-drain', on: true });
    for (let i = 0; i < 90 * 600; i++) stepPatient(model, s, 100);
    const v = readVitals(model, s, createVitals());
    expect(v.spo2Percent).toBeGreaterThan(95);
    expect(v.arrested).toBe(0);
  });
  it('a drive takes over from where the illness had got to', () => {
    const [model, s] = begin(who('asthma', 'acute-severe', 1, 10));
    expect(s[X.ACT_BASE]!).toBeGreaterThan(0.4);
    applyInput(model, s, drive('asthma', 1, 4));
    stepPatient(model, s, 100);
    expect(s[X.ACT_BASE]!).toBeGreaterThan(0.49);
    for (let i = 0; i < 2500; i++) stepPatient(model, s, 100);
    expect(s[X.ACT_BASE]!).toBe(1);
  });
  it('order and number of illnesses in a profile do not matter; both act', () => {
    const ills = [
      { disease: 'pneumonia', pattern: 'left-lobar', startedMinutesAgo: 20 },
      { disease: 'copd', startedMinutesAgo: 20 },
    ];
    const person = { ageYears: 70, weightKg: 70, sex: 'female' } as const;
    const end = (illness: typeof ills) => {
      const [model, s] = begin({ ...person, illness });
      for (let i = 0; i < 6000; i++) stepPatient(model, s, 100);
      return s;
    };
    const both = end(ills);
    expect(end([...ills].reverse())).toEqual(both);
    expect(both[X.SAO2]!).toBeLessThan(end(ills.slice(0, 1))[X.SAO2]! - 0.01);
    expect(both[X.SAO2]!).toBeLessThan(end(ills.slice(1))[X.SAO2]! - 0.01);
  });
});

describe('not a table: sizes and doses give distinct, rightly ordered courses', () => {
  const asthma = (weightKg: number, mg: number, minutes = 12) => {
    const [model, s] = begin({ ...who('asthma', 'life-threatening', 1, 20), weightKg });
    applyInput(model, s, { kind: 'dose', effect: 'magnesium', route: 'iv', amount: mg, overMs: 1_200_000 });
    for (let i = 0; i < minutes * 600; i++) stepPatient(model, s, 100);
    return readVitals(model, s, createVitals());
  };
  it('magnesium: heavier answers less, half does less, ten times drops pressure', () => {
    const usual = asthma(26, 1040);
    expect(asthma(26 * 1.37, 1040).bronchospasmFraction).toBeGreaterThan(usual.bronchospasmFraction + 0.005);
    expect(asthma(26, 520).bronchospasmFraction).toBeGreaterThan(usual.bronchospasmFraction + 0.01);
    const ten = asthma(26, 10_400, 20);
    const one = asthma(26, 1040, 20);
    expect(ten.meanMmHg).toBeLessThan(one.meanMmHg - 3);
  });
  const overdose = (weightKg: number, micrograms: number, minutes = 4) => {
    const [model, s] = begin({ ...who('opioid-toxicity', 'morphine-like', 1, 0), weightKg });
    applyInput(model, s, { kind: 'oxygen', device: 'bag-mask', flowLPerMin: 15 });
    applyInput(model, s, { kind: 'procedure', procedure: 'breaths-given', amount: 10, on: true });
    for (let i = 0; i < 3600; i++) stepPatient(model, s, 100);
    applyInput(model, s, { kind: 'dose', effect: 'naloxone', route: 'iv', amount: micrograms });
    for (let i = 0; i < minutes * 600; i++) stepPatient(model, s, 100);
    return readVitals(model, s, createVitals());
  };
  it('naloxone: half wakes less, ten times lasts longer; a small patient needs less', () => {
    expect(overdose(70, 200).consciousnessFraction).toBeLessThan(overdose(70, 400).consciousnessFraction - 0.02);
    expect(overdose(70, 4000, 90).consciousnessFraction).toBeGreaterThan(
      overdose(70, 400, 90).consciousnessFraction + 0.1,
    );
    expect(overdose(20, 100).consciousnessFraction).toBeGreaterThan(
      overdose(20 * 1.37, 100).consciousnessFraction + 0.01,
    );
  });
  it('aminophylline: ten times the dose is an arrhythmia', () => {
    const [model, s] = begin(who('asthma', 'acute-severe', 1, 20));
    applyInput(model, s, { kind: 'dose', effect: 'aminophylline', route: 'iv', amount: 1300, overMs: 1_200_000 });
    for (let i = 0; i < 30 * 600; i++) stepPatient(model, s, 100);
    expect(readVitals(model, s, createVitals()).rhythm).toBeGreaterThanOrEqual(3);
  });
  it('back blows: one at a time add up to a set', () => {
    const out = (inputs: PatientInput[]) => {
      const [model, s] = begin(who('foreign-body', 'laryngeal-complete'));
      for (let i = 0; i < 60; i++) stepPatient(model, s, 100);
      for (const input of inputs) applyInput(model, s, input);
      return s[X.LOOSENED]!;
    };
    const blow = (amount: number): PatientInput => ({ kind: 'procedure', procedure: 'back-blows', amount, on: true });
    expect(out([1, 2, 3, 4, 5].map(() => blow(1)))).toBeCloseTo(out([blow(5)]), 12);
    expect(out([blow(3)])).toBeLessThan(out([blow(5)]));
  });
});

describe('blood gas', () => {
  it('arterial is the patient’s own; venous has less oxygen, more CO2, lower pH; capillary lies between', () => {
    const [model, s] = begin(who('asthma', 'acute-severe', 1, 25));
    const v = readVitals(model, s, createVitals());
    const a = bloodGas(model, s, 'arterial');
    const venous = bloodGas(model, s, 'venous');
    const capillary = bloodGas(model, s, 'capillary');
    expect(a.pco2MmHg).toBe(v.paco2MmHg);
    expect(a.pH).toBeCloseTo(v.arterialPh, 4);
    expect(a.po2MmHg).toBeCloseTo(v.pao2MmHg, 6);
    expect(a.saturationPercent).toBeCloseTo(v.spo2Percent, 6);
    expect(a.pco2KPa * 7.50062).toBeCloseTo(a.pco2MmHg, 9);
    for (const id of ['po2MmHg', 'saturationPercent', 'pH'] as const) {
      expect(venous[id]).toBeLessThan(capillary[id]);
      expect(capillary[id]).toBeLessThan(a[id]);
    }
    expect(venous.pco2MmHg).toBeGreaterThan(capillary.pco2MmHg);
    expect(() => bloodGas(model, s, 'umbilical' as never)).toThrow(/arterial, venous, capillary/);
  });
  it('base excess is 0 at 24.4 and 7.40, and -12 at 12.4 and 7.27 (equation worked by hand)', () => {
    expect(standardBaseExcess(7.4, 24.4)).toBe(0);
    expect(standardBaseExcess(7.27, 12.4)).toBeCloseTo(0.9287 * (-12 - 1.9279), 9);
  });
});

describe('what is said', () => {
  it.each(ALL)(
    '%s, %s: findings can be spoken, keep A to E order and unique ids; every vital explains itself by the illness',
    (disease, pattern) => {
      const [model, s] = begin(who(disease, pattern, 1, 20));
      for (let i = 0; i < 900; i++) stepPatient(model, s, 100);
      const found = readFindings(model, s);
      const order = found.map((f) =>
        ['airway', 'breathing', 'circulation', 'disability', 'exposure'].indexOf(f.letter),
      );
      expect([...order].sort((x, y) => x - y)).toEqual(order);
      expect(new Set(found.map((f) => f.id)).size).toBe(found.length);
      for (const f of found) expect(f.text).toMatch(/^[A-Z].*[.]$/);
      if (readVitals(model, s, createVitals()).arrested) return;
      for (const vital of Object.keys(createVitals()) as VitalId[]) {
        const why = explain(model, s, vital);
        expect(
          why.terms.map((t) => t.id),
          vital,
        ).toContain(`illness-${disease}`);
        expect(new Set(why.terms.map((t) => t.id)).size).toBe(why.terms.length);
        expect(why.text).not.toMatch(/NaN|undefined/);
      }
    },
  );
});
