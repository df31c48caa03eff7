/** Laws that hold for any patient and any legal inputs. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { OXYGEN_DEVICES, SIGNS, type PatientInput, type PatientProfile, type VitalId } from '../src/types.ts';
import { POSTURES } from '../src/core/codes.ts';
import { bundled } from './bundled.ts';
import { ADULT, CHILD, adrenalineIm, drive, expectInBounds, fluid, reservoirMask } from './helpers.ts';

const {
  SLOTS,
  DISEASES,
  DRIVES,
  EFFECTS,
  UNCERTAIN,
  PROCEDURES,
  PatientError,
  applyInput,
  buildPatient,
  copyState,
  createState,
  createVitals,
  explain,
  readFindings,
  readSign,
  readVitals,
  stepPatient,
} = await bundled();

/** Lives with a high PaCO2, half an hour into a bad chest. */
const RETAINER: PatientProfile = {
  ageYears: 68,
  weightKg: 70,
  sex: 'male',
  illness: [{ disease: 'copd', startedMinutesAgo: 30 }],
};

const driveInput: fc.Arbitrary<PatientInput> = fc
  .constantFrom(...(Object.keys(DRIVES) as (keyof typeof DRIVES)[]))
  .chain((id) =>
    fc.record({
      kind: fc.constant('drive' as const),
      drive: fc.constant(id as string),
      to: fc.double({ min: DRIVES[id].min, max: DRIVES[id].max, noNaN: true }),
      overMs: fc.constantFrom(0, 10_000, 180_000),
    }),
  );
const doseInput: fc.Arbitrary<PatientInput> = fc
  .constantFrom(...(Object.keys(EFFECTS) as (keyof typeof EFFECTS)[]))
  .chain((id) =>
    fc.record({
      kind: fc.constant('dose' as const),
      effect: fc.constant(id as string),
      route: fc.constantFrom(...EFFECTS[id].routes),
      amount: fc.oneof(fc.double({ min: 0, max: 500, noNaN: true }), fc.constantFrom(0, 1e4, 1e6)),
      overMs: fc.constantFrom(0, 60_000, 600_000),
      lagMs: fc.constantFrom(0, 30_000, 240_000),
    }),
  );
const otherInput: fc.Arbitrary<PatientInput> = fc.oneof(
  fc.record({
    kind: fc.constant('oxygen' as const),
    device: fc.constantFrom(...OXYGEN_DEVICES),
    flowLPerMin: fc.double({ min: 0, max: 60, noNaN: true }),
  }),
  fc.record({ kind: fc.constant('posture' as const), posture: fc.constantFrom(...POSTURES) }),
  fc.record({
    kind: fc.constant('procedure' as const),
    procedure: fc.constantFrom(...Object.keys(PROCEDURES)),
    on: fc.boolean(),
  }),
  fc.record({
    kind: fc.constant('infusion' as const),
    effect: fc.constantFrom('adrenaline', 'crystalloid', 'salbutamol', 'magnesium', 'naloxone'),
    ratePerMin: fc.double({ min: 0, max: 200, noNaN: true }),
  }),
);
const anyInput = fc.oneof(driveInput, doseInput, otherInput);
const anyone: fc.Arbitrary<PatientProfile> = fc
  .tuple(
    fc.constantFrom([0.01, 3], [0.3, 6], [1, 10], [4, 16], [7, 23], [12, 40], [16, 55], [35, 70], [60, 95], [88, 52]),
    fc.constantFrom('female' as const, 'male' as const),
    fc.constantFrom(
      ...Object.keys(DISEASES).flatMap((d) => Object.keys(DISEASES[d]!.patterns).map((p) => [d, p] as const)),
    ),
    fc.double({ min: 0, max: 1, noNaN: true }),
    fc.double({ min: 0.3, max: 3, noNaN: true }),
  )
  .map(([[ageYears, weightKg], sex, [disease, pattern], severity, tempo]) => ({
    ageYears: ageYears!,
    weightKg: weightKg!,
    sex,
    illness: [{ disease, pattern, severity, tempo, startedMinutesAgo: 10 }],
  }));

describe('any legal stream of inputs', () => {
  it('keeps every output finite and within physical bounds, systolic >= mean >= diastolic', () => {
    fc.assert(
      fc.property(
        anyone,
        fc.array(fc.tuple(anyInput, fc.integer({ min: 1, max: 400 })), { minLength: 1, maxLength: 12 }),
        (who, stream) => {
          const model = buildPatient(who);
          const s = createState(model);
          const v = createVitals();
          for (const [input, steps] of stream) {
            applyInput(model, s, input);
            for (let i = 0; i < steps; i++) {
              stepPatient(model, s, 100);
              if (i % 20 === 0) expectInBounds(readVitals(model, s, v));
            }
          }
          expectInBounds(readVitals(model, s, v));
          for (const n of s) expect(Number.isFinite(n)).toBe(true);
          for (const sign of SIGNS) expect([0, 1, 2, 3, 4]).toContain(readSign(model, s, sign));
          for (const f of readFindings(model, s)) expect(f.text.length).toBeGreaterThan(3);
          for (const id of Object.keys(v))
            expect(explain(model, s, id as VitalId).text).not.toMatch(/NaN|undefined|Infinity/);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('copy then step equals step, and the copy is apart', () => {
    fc.assert(
      fc.property(anyone, fc.array(anyInput, { maxLength: 8 }), (who, inputs) => {
        const model = buildPatient(who);
        const a = createState(model);
        for (const input of inputs) {
          applyInput(model, a, input);
          for (let i = 0; i < 50; i++) stepPatient(model, a, 100);
        }
        const b = copyState(a);
        for (let i = 0; i < 200; i++) stepPatient(model, a, 100);
        expect(b).not.toEqual(a);
        for (let i = 0; i < 200; i++) stepPatient(model, b, 100);
        expect(b).toEqual(a);
      }),
      { numRuns: 25 },
    );
  });
});

describe('time', () => {
  it('starts steady: an hour at rest moves nothing by 1 %', () => {
    for (const [ageYears, weightKg] of [
      [0.02, 3.4],
      [0.5, 7.5],
      [2, 12],
      [7, 23],
      [14, 50],
      [48, 82],
      [85, 60],
    ]) {
      const model = buildPatient({ ageYears: ageYears!, weightKg: weightKg!, sex: 'female' });
      const s = createState(model);
      const before = { ...readVitals(model, s, createVitals()) };
      for (let i = 0; i < 36000; i++) stepPatient(model, s, 100);
      const after = readVitals(model, s, createVitals());
      for (const id of Object.keys(before) as VitalId[]) {
        const wide = Math.max(Math.abs(before[id]) * 0.01, 0.01);
        expect(Math.abs(after[id] - before[id]), `${id} at ${ageYears} y`).toBeLessThanOrEqual(wide);
      }
    }
  });

  it('halving the step moves no vital by more than 1 % of its usual size', () => {
    const plans: [PatientProfile, [number, PatientInput][]][] = [
      [
        CHILD,
        [
          [0, drive('mediators', 0.9, 1)],
          [3, adrenalineIm(300)],
          [4, reservoirMask],
          [8, fluid(230, 5)],
        ],
      ],
      [
        ADULT,
        [
          [0, drive('mediators', 0.8, 1)],
          [4, adrenalineIm(500)],
          [6, fluid(1000, 6)],
        ],
      ],
      [
        { ageYears: 0.3, weightKg: 6, sex: 'male' },
        [
          [0, drive('bronchospasm', 0.6, 3)],
          [1, drive('upper-airway-oedema', 0.5, 3)],
        ],
      ],
    ];
    const usual: Partial<Record<VitalId, number>> = {
      heartRatePerMin: 100,
      spo2Percent: 97,
      systolicMmHg: 100,
      diastolicMmHg: 60,
      meanMmHg: 75,
      paco2MmHg: 40,
      respiratoryRatePerMin: 25,
      etco2MmHg: 37,
      capillaryRefillS: 2,
      consciousnessFraction: 1,
      temperatureCelsius: 37,
    };
    for (const [who, plan] of plans) {
      const model = buildPatient(who);
      const coarse = createState(model);
      const fine = createState(model);
      const a = createVitals();
      const b = createVitals();
      for (let i = 0; i < 12 * 600; i++) {
        for (const [minute, input] of plan) {
          if (Math.round(minute * 600) === i) {
            applyInput(model, coarse, input);
            applyInput(model, fine, input);
          }
        }
        stepPatient(model, coarse, 100);
        stepPatient(model, fine, 50);
        stepPatient(model, fine, 50);
        if (i % 50 !== 0) continue;
        readVitals(model, coarse, a);
        readVitals(model, fine, b);
        for (const id of Object.keys(usual) as VitalId[]) {
          expect(Math.abs(a[id] - b[id]), `${id} at ${i / 600} min`).toBeLessThanOrEqual(0.01 * usual[id]!);
        }
      }
    }
  });
});

describe('what is refused, with the patient unchanged', () => {
  const model = buildPatient(CHILD);
  const bad: [string, unknown, string][] = [
    ['unknown drive', { kind: 'drive', drive: 'meditators', to: 0.5, overMs: 0 }, 'unknown-drive'],
    ['drive named like an object method', { kind: 'drive', drive: 'toString', to: 0.5, overMs: 0 }, 'unknown-drive'],
    ['drive out of range', { kind: 'drive', drive: 'mediators', to: 1.5, overMs: 0 }, 'bad-number'],
    ['NaN drive', { kind: 'drive', drive: 'mediators', to: NaN, overMs: 0 }, 'bad-number'],
    ['negative ramp', { kind: 'drive', drive: 'mediators', to: 0.5, overMs: -1 }, 'bad-number'],
    ['unknown effect', { kind: 'dose', effect: 'moonlight', route: 'im', amount: 1 }, 'unknown-effect'],
    ['route this effect has not', { kind: 'dose', effect: 'crystalloid', route: 'oral', amount: 1 }, 'unknown-route'],
    ['unknown site', { kind: 'dose', effect: 'adrenaline', route: 'im', site: 'ear', amount: 1 }, 'unknown-site'],
    ['negative dose', { kind: 'dose', effect: 'adrenaline', route: 'im', amount: -5 }, 'bad-number'],
    ['infinite dose', { kind: 'dose', effect: 'adrenaline', route: 'im', amount: Infinity }, 'bad-number'],
    ['dose as text', { kind: 'dose', effect: 'adrenaline', route: 'im', amount: '5' }, 'bad-number'],
    ['unknown device', { kind: 'oxygen', device: 'snorkel' }, 'unknown-device'],
    ['fraction above one', { kind: 'oxygen', device: 'cpap', fio2Fraction: 1.2 }, 'bad-number'],
    ['unknown posture', { kind: 'posture', posture: 'hovering' }, 'unknown-posture'],
    ['unknown procedure', { kind: 'procedure', procedure: 'magic', on: true }, 'unknown-procedure'],
    ['unknown kind', { kind: 'wish' }, 'unknown-input'],
  ];
  it.each(bad)('%s', (_name, input, code) => {
    const s = createState(model);
    const before = copyState(s);
    let thrown: unknown;
    try {
      applyInput(model, s, input as PatientInput);
    } catch (error) {
      thrown = error;
    }
    expect(thrown).toBeInstanceOf(PatientError);
    expect((thrown as Error & { code: string }).code).toBe(code);
    expect((thrown as Error & { code: string }).message).toContain('expected');
    expect(s).toEqual(before);
  });

  it('states of the wrong size, steps of the wrong length', () => {
    const small = new Float64Array(3) as ReturnType<typeof createState>;
    expect(() => stepPatient(model, small, 100)).toThrow(PatientError);
    expect(() => copyState(small)).toThrow(PatientError);
    expect(() => applyInput(model, small, reservoirMask)).toThrow(PatientError);
    for (const dt of [0, -100, NaN, 501, Infinity])
      expect(() => stepPatient(model, createState(model), dt)).toThrow(PatientError);
  });

  const profiles: [string, unknown][] = [
    ['no weight', { ageYears: 7, sex: 'female' }],
    ['weight below the smallest', { ageYears: 0, weightKg: 0.4, sex: 'female' }],
    ['weight above the largest', { ageYears: 40, weightKg: 400, sex: 'male' }],
    ['NaN age', { ageYears: NaN, weightKg: 20, sex: 'male' }],
    ['unknown sex', { ageYears: 7, weightKg: 20, sex: 'x' }],
    ['unknown disease', { ageYears: 7, weightKg: 20, sex: 'male', illness: [{ disease: 'hiccups' }] }],
    [
      'unknown pattern',
      { ageYears: 7, weightKg: 20, sex: 'male', illness: [{ disease: 'anaphylaxis', pattern: 'x' }] },
    ],
    [
      'severity above one',
      { ageYears: 7, weightKg: 20, sex: 'male', illness: [{ disease: 'anaphylaxis', severity: 2 }] },
    ],
    ['unknown baseline', { ageYears: 7, weightKg: 20, sex: 'male', baseline: { mood: 3 } }],
    [
      'diastolic above systolic',
      { ageYears: 7, weightKg: 20, sex: 'male', baseline: { systolicMmHg: 80, diastolicMmHg: 90 } },
    ],
    ['unknown uncertain constant', { ageYears: 7, weightKg: 20, sex: 'male', uncertain: { luck: 2 } }],
  ];
  it.each(profiles)('profile: %s', (_name, profile) => {
    expect(() => buildPatient(profile as PatientProfile)).toThrow(PatientError);
  });
});

describe('balances and sensitivities', () => {
  it('blood, leak and crystalloid add up to 1e-9 L', () => {
    const model = buildPatient(CHILD);
    const s = createState(model);
    applyInput(model, s, drive('mediators', 0.9, 1));
    applyInput(model, s, fluid(230, 5));
    for (let i = 0; i < 9 * 600; i++) {
      if (i === 2400) applyInput(model, s, fluid(230, 2));
      if (i === 3000) applyInput(model, s, adrenalineIm(300));
      stepPatient(model, s, 100);
    }
    const given = s[SLOTS.FLUID_IN]! / 1000;
    const left = given - s[SLOTS.VI]!;
    const expected = model.p['bv0']! + given - s[SLOTS.LEAKED]! - 0.75 * left;
    expect(given).toBeCloseTo(0.46, 9);
    expect(Math.abs(s[SLOTS.BV]! - expected)).toBeLessThan(1e-9);
  });
  it('two boluses at once run side by side and neither is lost', () => {
    const model = buildPatient(CHILD);
    const s = createState(model);
    for (let i = 0; i < 20; i++) applyInput(model, s, fluid(10, 4));
    for (let i = 0; i < 1200; i++) stepPatient(model, s, 100);
    expect(s[SLOTS.FLUID_IN]!).toBeCloseTo(100, 6);
    for (let i = 0; i < 1300; i++) stepPatient(model, s, 100);
    expect(s[SLOTS.FLUID_IN]!).toBeCloseTo(200, 6);
  });
  it('the same dose does less in a child 1.37 times the weight', () => {
    const end = (weightKg: number) => {
      const model = buildPatient({ ...CHILD, weightKg });
      const s = createState(model);
      applyInput(model, s, drive('mediators', 0.9, 1));
      for (let i = 0; i < 12 * 600; i++) {
        if (i === 1800) applyInput(model, s, adrenalineIm(300));
        stepPatient(model, s, 100);
      }
      return readVitals(model, s, createVitals());
    };
    const light = end(23);
    const heavy = end(23 * 1.37);
    expect(heavy.bronchospasmFraction).toBeGreaterThan(light.bronchospasmFraction + 0.03);
    expect(heavy.systolicMmHg).toBeLessThan(light.systolicMmHg - 1);
  });
  it('every uncertain constant moves a course when pushed to its ends', () => {
    const sum = (profile: PatientProfile, id: string, factor: number) => {
      const model = buildPatient({ ...profile, uncertain: { [id]: factor } });
      const s = createState(model);
      applyInput(model, s, profile === RETAINER ? reservoirMask : drive('mediators', 0.9, 1));
      let total = 0;
      const v = createVitals();
      for (let i = 0; i < 14 * 600; i++) {
        if (i === 4200) applyInput(model, s, adrenalineIm(150));
        // Breathing stops for the last minute, so that lung stores count too.
        if (i === 7800) applyInput(model, s, drive('paralysis', 1));
        stepPatient(model, s, 100);
        if (i % 60 === 0) {
          readVitals(model, s, v);
          total += v.meanMmHg + v.spo2Percent + v.heartRatePerMin + v.paco2MmHg;
        }
      }
      return total;
    };
    for (const u of UNCERTAIN) {
      const shock = ['relative-bradycardia', 'arrest-debt', 'perfusion-limited-uptake'].includes(u.id);
      const who = u.id.startsWith('oxygen-') ? RETAINER : shock ? ADULT : CHILD;
      expect(Math.abs(sum(who, u.id, u.high) - sum(who, u.id, u.low)), u.id).toBeGreaterThan(0.5);
    }
  });
});
