/**
 * Every form of adrenaline the formulary offers, by every route it can be recorded by, in the right dose, a tenth and ten
 * times: each does what it would do, in a child and in an adult, on the shipped library and through the run.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { applyInput, buildPatient, createState, createVitals, readVitals, stepPatient } from '@breathline/patient';
import type { PatientInput, PatientProfile, Route, TrueVitals } from '@breathline/patient';
import { allowedDose, buildLibrary, convertAmount } from '@breathline/scenario';
import type { Intervention } from '@breathline/scenario';

const folder = new URL('../../scenarios/', import.meta.url).pathname;
const files = (name: string) =>
  readdirSync(`${folder}${name}`)
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({ file, text: readFileSync(`${folder}${name}/${file}`, 'utf8') }));
const built = buildLibrary({ formularies: files('formulary'), packs: files('guidelines') });
if (!built.ok) throw new Error('the shipped library does not build');
const FORMS = built.value.interventions.filter((one) => one.drug === 'adrenaline');

const WHO: readonly PatientProfile[] = [
  { ageYears: 7, weightKg: 23, sex: 'female', illness: [{ disease: 'anaphylaxis', pattern: 'food' }] },
  { ageYears: 40, weightKg: 75, sex: 'male', illness: [{ disease: 'anaphylaxis', pattern: 'venom' }] },
];

interface Course {
  readonly at: (minute: number) => TrueVitals;
  readonly most: (vital: keyof TrueVitals, toMin?: number) => number;
  readonly arrested: boolean;
}

function course(who: PatientProfile, input: PatientInput | null, minutes = 12, hard = 0.6): Course {
  const model = buildPatient(who);
  const s = createState(model);
  // Half an hour of a driven reaction would kill; tight bronchi alone do not.
  if (hard > 0) applyInput(model, s, { kind: 'drive', drive: 'mediators', to: hard, overMs: 60_000 });
  else {
    applyInput(model, s, { kind: 'drive', drive: 'mediators', to: 0, overMs: 0 });
    applyInput(model, s, { kind: 'drive', drive: 'bronchospasm', to: 0.5, overMs: 60_000 });
  }
  const kept: TrueVitals[] = [];
  for (let i = 0; i <= minutes * 600; i++) {
    if (i === 1200 && input) applyInput(model, s, input);
    if (i % 30 === 0) kept.push(readVitals(model, s, createVitals()));
    stepPatient(model, s, 100);
  }
  return {
    at: (m) => kept[Math.round(m * 20)]!,
    most: (vital, to = minutes) => Math.max(...kept.slice(0, to * 20 + 1).map((v) => v[vital])),
    arrested: kept.some((v) => v.arrested > 0),
  };
}

/** The form's own dose for this patient (formulary, or 1 microgram/kg for a bolus that has none), in micrograms. */
function usual(form: Intervention, who: PatientProfile): number {
  const rule = form.usual && allowedDose(form.usual, who);
  const amount = rule?.low ?? who.weightKg;
  return form.unit === 'micrograms' ? amount : convertAmount(amount, form.unit!, 'micrograms')!;
}
const input = (form: Intervention, route: Route, micrograms: number): PatientInput =>
  form.ratePer
    ? { kind: 'infusion', effect: 'adrenaline', ratePerMin: micrograms / (form.ratePer === 'h' ? 60 : 1) }
    : {
        kind: 'dose',
        effect: 'adrenaline',
        route,
        amount: micrograms,
        ...(form.overMs ? { overMs: form.overMs } : {}),
      };

const CASES = FORMS.flatMap((form) =>
  WHO.flatMap((who) =>
    [...new Set([form.route!, ...(form.routes ?? [])])].map(
      (route) => [form.id, route, who.ageYears, form, who] as const,
    ),
  ),
);

describe('adrenaline in every form', () => {
  it('there are forms to test, of every kind', () => {
    expect(FORMS.map((one) => one.id)).toEqual(
      expect.arrayContaining([
        'adrenaline-im',
        'adrenaline-auto-injector',
        'adrenaline-neb',
        'adrenaline-iv-infusion',
        'adrenaline-iv-bolus',
        'adrenaline-iv-arrest',
      ]),
    );
  });
  it.each(CASES)(
    '%s by %s at %d years: a tenth does less, ten times far more, and none is mistaken for another',
    (_id, route, _age, form, who) => {
      const dose = usual(form, who);
      // Under the skin it takes half an hour to show.
      const minutes = route === 'subcutaneous' ? 36 : 12;
      const hard = route === 'subcutaneous' ? 0 : 0.6;
      const run = (times: number) => course(who, input(form, route, dose * times), minutes, hard);
      const none = course(who, null, minutes, hard);
      const [tenth, once, ten] = [run(0.1), run(1), run(10)];
      if (form.route === 'neb') {
        // On the throat; little of it gets into the blood.
        expect(once.at(11).upperAirwayFraction).toBeLessThanOrEqual(tenth.at(11).upperAirwayFraction);
        expect(ten.most('systolicMmHg')).toBeGreaterThan(once.most('systolicMmHg') - 1e-9);
        return;
      }
      // Soon after the dose, before anything an overdose does to the lungs, more opens more.
      const when = minutes - (route === 'subcutaneous' ? 8 : 8.5);
      const spasm = (c: Course) => (c.arrested ? -1 : c.at(when).bronchospasmFraction);
      expect(spasm(tenth)).toBeLessThan(none.at(when).bronchospasmFraction + 1e-12);
      expect(spasm(once)).toBeLessThan(spasm(tenth));
      expect(ten.arrested || spasm(ten) < spasm(once)).toBe(true);
      expect(tenth.most('systolicMmHg')).toBeLessThanOrEqual(once.most('systolicMmHg'));
      // A tenfold dose shows on the monitor, or stops the heart.
      const seen =
        ten.arrested ||
        ten.most('rhythm') >= 3 ||
        ten.most('systolicMmHg') > once.most('systolicMmHg') + 12 ||
        ten.most('heartRatePerMin') > once.most('heartRatePerMin') + 15;
      expect(seen).toBe(true);
    },
  );
});

describe('the right dose in the wrong place', () => {
  it.each(WHO.map((who) => [who.ageYears, who] as const))(
    'at %d years an intramuscular dose into a vein surges within a minute and can disturb the rhythm; under the skin it is late; on the throat it is not enough',
    (_age, who) => {
      const im = FORMS.find((one) => one.id === 'adrenaline-im')!;
      const dose = usual(im, who);
      const by = (route: Route) => course(who, { kind: 'dose', effect: 'adrenaline', route, amount: dose });
      const [muscle, vein, skin, throat] = [by('im'), by('iv'), by('subcutaneous'), by('neb')];
      expect(vein!.arrested || vein!.most('systolicMmHg', 3) > muscle!.most('systolicMmHg') + 40).toBe(true);
      expect(vein!.most('rhythm', 3)).toBeGreaterThanOrEqual(4);
      expect(muscle!.most('rhythm')).toBeLessThan(3);
      expect(skin!.at(8).bronchospasmFraction).toBeGreaterThan(muscle!.at(8).bronchospasmFraction + 0.02);
      expect(throat!.at(8).bronchospasmFraction).toBeGreaterThan(muscle!.at(8).bronchospasmFraction + 0.02);
    },
  );
});
