/** What an examiner is told, and what faculty are told about why. */
import { describe, expect, it } from 'vitest';
import { applyInput, buildPatient, createState, explain, readFindings, readSign, stepPatient } from '../src/index.ts';
import { ADULT, CHILD, adrenalineIm, course, drive } from './helpers.ts';

const text = (c: ReturnType<typeof course>, id: string) =>
  readFindings(c.model, c.state).find((f) => f.id === id)?.text ?? '';
const ADULT_WELL = { ageYears: 30, weightKg: 70, sex: 'male' } as const;

describe('findings', () => {
  it('a well child is said to be well, A to E, and nothing is graded', () => {
    const c = course(CHILD.illness ? { ...CHILD, illness: [] } : CHILD, [], 0);
    const found = readFindings(c.model, c.state);
    expect(new Set(found.map((f) => f.letter))).toEqual(
      new Set(['airway', 'breathing', 'circulation', 'disability', 'exposure']),
    );
    for (const f of found) expect(f.grade, f.id).toBe('none');
    expect(text(c, 'talking')).toMatch(/full sentences/);
    expect(text(c, 'air-entry')).toMatch(/clear/);
  });
  // Air entry is an item of the croup score: normal, decreased, markedly decreased (Westley CR et al. Am J Dis Child 1978;132:484-7).
  it('a throat swollen by croup lets less air in, and the words follow', () => {
    const toddler = { ageYears: 2, weightKg: 12, sex: 'male' } as const;
    const at = (croup: number) => text(course(toddler, [[0, drive('croup', croup, 1)]], 15), 'air-entry');
    expect(at(0.3)).toMatch(/chest clear/);
    expect(at(0.85)).toMatch(/reduced/);
    expect(at(1)).toMatch(/poor on both sides/);
    for (const croup of [0.85, 1]) expect(at(croup)).toMatch(/throat.*no wheeze/);
  });
  it('nobody who is put to sleep while the chest is tight is called comfortable, or said to sit forward', () => {
    const asleep = (mg: number) => {
      const propofol = { kind: 'dose', effect: 'propofol', route: 'iv', amount: mg } as const;
      return course(ADULT_WELL, [[0, drive('asthma', 0.8, 1)], [20, propofol]], 21.5); // prettier-ignore
    };
    for (const mg of [35, 70, 140]) {
      const c = asleep(mg);
      expect(readSign(c.model, c.state, 'drowsiness')).toBeGreaterThan(1);
      expect(text(c, 'work-of-breathing')).toMatch(/quiet/);
      expect(text(c, 'work-of-breathing')).not.toMatch(/comfortabl|Sits/);
    }
  });
  it('order and letters: A before B before C before D before E, ids unique', () => {
    for (const minute of [0, 4, 8, 12]) {
      const c = course(CHILD, [[0, drive('mediators', 0.9, 1)]], minute);
      const found = readFindings(c.model, c.state);
      const order = found.map((f) =>
        ['airway', 'breathing', 'circulation', 'disability', 'exposure'].indexOf(f.letter),
      );
      expect([...order].sort((a, b) => a - b)).toEqual(order);
      expect(new Set(found.map((f) => f.id)).size).toBe(found.length);
      for (const f of found) expect(f.text).toMatch(/^[A-Z].*[.]$/);
    }
  });
  it('says more as the child worsens: talking, wheeze, rash, then drowsy and silent', () => {
    const at = (minute: number) => course(CHILD, [[0, drive('mediators', 0.9, 1)]], minute);
    const early = at(4);
    expect(text(early, 'wheeze')).toMatch(/[Ww]heeze/);
    expect(text(early, 'rash')).toMatch(/weals/);
    const late = at(12);
    expect(text(late, 'talking')).toMatch(/single words|Cannot speak/);
    expect(text(late, 'air-entry')).toMatch(/hardly any wheeze/);
    expect(readSign(late.model, late.state, 'wheeze')).toBeLessThan(readSign(at(7).model, at(7).state, 'wheeze'));
    const dead = at(16);
    expect(text(dead, 'pulse')).toMatch(/No central pulse/);
  });
  it('agitation comes before drowsiness', () => {
    let agitatedAt = Infinity;
    let drowsyAt = Infinity;
    for (let t = 0; t < 15; t += 0.5) {
      const c = course(CHILD, [[0, drive('mediators', 0.9, 1)]], t);
      if (readSign(c.model, c.state, 'agitation') >= 2) agitatedAt = Math.min(agitatedAt, t);
      if (readSign(c.model, c.state, 'drowsiness') >= 2) drowsyAt = Math.min(drowsyAt, t);
    }
    expect(agitatedAt).toBeLessThan(drowsyAt);
    expect(drowsyAt).toBeLessThan(15);
  });
  it('wherever colour is named, lips, tongue, gums, nail beds, palms or soles are named with it', () => {
    const courses = [
      course(CHILD, [[0, drive('mediators', 0.9, 1)]], 11),
      course(ADULT, [[0, drive('mediators', 0.9, 1)]], 8),
      course(CHILD, [[0, drive('mediators', 0.9, 1)]], 16),
    ];
    for (const c of courses) {
      for (const f of readFindings(c.model, c.state)) {
        if (/\b(blue|grey|pale|pink|dusky|flushed|mottled|red)\b/i.test(f.text)) {
          expect(f.text, f.id).toMatch(/lips|tongue|gums|nail beds|palms|soles/i);
        }
      }
    }
  });
  it('infants are described as infants', () => {
    const c = course(
      { ageYears: 0.5, weightKg: 7.5, sex: 'male', illness: [{ disease: 'anaphylaxis' }] },
      [[0, drive('mediators', 0.9, 1)]],
      7,
    );
    expect(text(c, 'talking')).toMatch(/cry|Cries|Whimpers|sound/);
    expect(text(c, 'talking')).not.toMatch(/sentences|words/);
  });
});

describe('explain', () => {
  it('names shunt, inspired oxygen, arterial PO2 and the effect of adrenaline, with which way it is going', () => {
    const model = buildPatient(CHILD);
    const s = createState(model);
    applyInput(model, s, drive('mediators', 0.9, 1));
    const c = course(
      CHILD,
      [
        [0, drive('mediators', 0.9, 1)],
        [6, adrenalineIm(300)],
      ],
      8,
    );
    const why = explain(c.model, c.state, 'spo2Percent');
    expect(why.value).toBeGreaterThan(60);
    for (const id of ['shunt', 'fio2', 'arterial-po2', 'adrenaline-effect', 'low-vq'])
      expect(why.terms.map((t) => t.id)).toContain(id);
    expect(why.terms.find((t) => t.id === 'adrenaline-effect')!.trend).toBe('rising');
    expect(why.text).toMatch(/^Saturation \d+ %: .*shunt \d+ %.*adrenaline effect \d+ % and rising/);
  });
  it('terms are the model’s own numbers: content, output and resistance rebuild the pressure', () => {
    const c = course(ADULT, [[0, drive('mediators', 0.9, 1)]], 6);
    const why = explain(c.model, c.state, 'meanMmHg');
    const get = (id: string) => why.terms.find((t) => t.id === id)!.value / 100;
    const p = c.model.p;
    const rebuilt = p['cvp']! * get('filling') + get('output') * p['co0']! * get('resistance') * p['svr0']!;
    expect(Math.abs(rebuilt - why.value)).toBeLessThan(1.5);
  });
});

describe('arrest and return', () => {
  it('compressions, breaths with oxygen, adrenaline and fluid bring back a shocked patient; nothing brings back nobody', () => {
    const stop = course(ADULT, [[0, drive('mediators', 0.9, 1)]], 20).arrestMin;
    const t = stop + 0.5;
    const helped = course(
      ADULT,
      [
        [0, drive('mediators', 0.9, 1)],
        [t, { kind: 'procedure', procedure: 'cpr', amount: 110, on: true }],
        [t, { kind: 'oxygen', device: 'bag-mask', flowLPerMin: 15 }],
        [t, { kind: 'procedure', procedure: 'breaths-given', on: true }],
        [t + 1, { kind: 'dose', effect: 'adrenaline', route: 'iv', amount: 1000 }],
        [t + 1, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 2000, overMs: 300_000 }],
        [t + 1, drive('mediators', 0.1, 2)],
        [t + 5, { kind: 'dose', effect: 'adrenaline', route: 'iv', amount: 1000 }],
      ],
      t + 12,
    );
    const alone = course(ADULT, [[0, drive('mediators', 0.9, 1)]], t + 12);
    expect(helped.at(t + 12).arrested).toBe(0);
    expect(alone.at(t + 12).arrested).toBe(1);
    expect(alone.at(t + 12).pulseRatePerMin).toBe(0);
    // End-tidal CO2 in good compressions is about 10-20 mmHg (life-support teaching, from memory).
    expect(helped.at(t + 2).etco2MmHg).toBeGreaterThan(5);
    expect(helped.at(t + 2).etco2MmHg).toBeLessThan(30);
    expect(helped.at(t + 2).meanMmHg).toBeGreaterThan(12);
  });
});

it('untreated asthma: air entry never sounds better as the wheeze fades with strength', () => {
  // A silent chest is a worse one: BTS/SIGN 158 (2019), life-threatening features.
  const model = buildPatient({
    ageYears: 9,
    weightKg: 29,
    sex: 'female',
    illness: [{ disease: 'asthma', pattern: 'life-threatening', severity: 1 }],
  });
  const state = createState(model);
  applyInput(model, state, drive('asthma', 1));
  const grades: number[] = [];
  const words = ['none', 'mild', 'moderate', 'marked', 'severe'];
  for (let i = 0; i < 40 * 600 && readSign(model, state, 'arrest') === 0; i++) {
    if (i % 300 === 0)
      grades.push(...readFindings(model, state).filter((one) => one.id === 'air-entry').map((one) => words.indexOf(one.grade))); // prettier-ignore
    stepPatient(model, state, 100);
  }
  expect(grades.length).toBeGreaterThan(10);
  expect(Math.max(...grades)).toBe(4);
  grades.forEach((grade, i) => expect(grade, `at ${i / 2} min`).toBeGreaterThanOrEqual(grades[Math.max(i - 1, 0)]!));
});
